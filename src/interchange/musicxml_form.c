/* Sections and a form that play a score's bars in its order.
 *
 * The score is cut where a letter, a sign or a jump stands, and around repeats that a chart's section cannot hold: nested
 * ones, and those with a cut inside. What is played is then read off as pieces; a piece that is once played in another way,
 * as after D.C. without its repeats, becomes another section. */
#include "musicxml_internal.h"

#include <string.h>

typedef struct Folding {
  GlnScore *score;
  GlnArena *arena;
  GlnDiags *diags;
  GlnScoreForm *form;
  bool *cut;         /* a piece begins at this bar */
  uint32_t *scratch; /* a piece played out */
  size_t scratch_max;
} Folding;

/* ---- cuts ------------------------------------------------------------------------------------------------------------- */

static void cut_at_signs(Folding *folding) {
  const GlnScore *score = folding->score;
  bool jumps = false;
  for (size_t b = 0; b < score->bar_count; b++)
    jumps = jumps || score->bars[b].da_capo || score->bars[b].dal_segno;
  for (size_t b = 0; b < score->bar_count; b++) {
    const GlnScoreBar *bar = &score->bars[b];
    if (bar->rehearsal.length > 0 || (jumps && (bar->segno || bar->coda)))
      folding->cut[b] = true;
    if (jumps && (bar->to_coda || bar->fine || bar->da_capo || bar->dal_segno))
      folding->cut[b + 1] = true;
  }
  folding->cut[0] = true;
  /* A pick-up belongs to the section that it leads into. */
  if (gln_score_bar_is_pickup(score, 0) && score->bar_count > 1)
    folding->cut[1] = false;
}

/* What a chart can hold: endings from 1 without gaps, each played once, the last after the others, none at the start. */
static bool endings_are_plain(const GlnScore *score, const GlnScorePassage *passage) {
  uint32_t seen = 0;
  bool in_endings = false;
  for (size_t b = passage->first; b <= passage->last; b++) {
    const GlnScoreBar *bar = &score->bars[b];
    if (bar->endings == 0) {
      if (in_endings || (bar->plays > 0 && b < passage->last))
        return false;
      continue;
    }
    if (b == passage->first)
      return false;
    if (!in_endings || bar->ending_starts) {
      if ((seen & bar->endings) != 0)
        return false;
      seen |= bar->endings;
    }
    in_endings = true;
    bool last_of_ending = b == passage->last || score->bars[b + 1].ending_starts;
    if (last_of_ending && b < passage->last && bar->plays == 0)
      return false; /* an ending that does not go back */
  }
  if (seen == 0)
    return true;
  if (passage->plays > GLN_ENDINGS_MAX)
    return false;
  uint32_t last = (uint32_t)1 << passage->plays; /* the last ending is played once, for it does not go back */
  return seen == (last << 1) - 2 && score->bars[passage->last].endings == last;
}

static bool is_cut_inside(const Folding *folding, const GlnScorePassage *passage) {
  for (size_t b = passage->first + (size_t)1; b <= passage->last; b++)
    if (folding->cut[b])
      return true;
  return false;
}

static void cut_around(Folding *folding, const GlnScorePassage *passage) {
  folding->cut[passage->first] = true;
  folding->cut[passage->last + 1] = true;
  for (size_t b = passage->first + (size_t)1; b <= passage->last; b++)
    if (folding->score->bars[b].ending_starts && folding->score->bars[b].endings != 0)
      folding->cut[b] = true;
}

static void cut_at_repeats(Folding *folding) {
  GlnScoreForm *form = folding->form;
  for (size_t p = 0; p < form->passage_count; p++)
    form->passages[p].inside =
        form->passages[p].plays > 1 && endings_are_plain(folding->score, &form->passages[p]);
  for (size_t p = 0; p < form->passage_count; p++) {
    GlnScorePassage *passage = &form->passages[p];
    if (passage->plays > 1 && passage->parent >= 0)
      form->passages[passage->parent].inside = false;
  }
  /* Cuts around one repeat can fall into another: until nothing changes. */
  for (bool changed = true; changed;) {
    changed = false;
    for (size_t p = 0; p < form->passage_count; p++) {
      GlnScorePassage *passage = &form->passages[p];
      bool was_inside = passage->inside;
      passage->inside = was_inside && !is_cut_inside(folding, passage);
      changed = changed || was_inside != passage->inside;
      if (!passage->inside && passage->plays > 1)
        cut_around(folding, passage);
    }
  }
}

/* ---- pieces ------------------------------------------------------------------------------------------------------------ */

static bool add_played(Folding *folding, size_t *count, size_t bar) {
  if (*count == folding->scratch_max)
    return false;
  folding->scratch[(*count)++] = (uint32_t)bar;
  return true;
}

/* A repeat inside a piece, from its first time or only as its last; false past the end of scratch. */
static bool play_passage(Folding *folding, const GlnScorePassage *passage, bool repeats, size_t *count) {
  for (int pass = repeats ? 1 : passage->plays; pass <= passage->plays; pass++)
    for (size_t b = passage->first; b <= passage->last; b++) {
      uint32_t endings = folding->score->bars[b].endings;
      bool skipped = endings != 0 && (pass > GLN_ENDINGS_MAX || !(endings >> pass & 1));
      if (!skipped && !add_played(folding, count, b))
        return false;
    }
  return true;
}

/* The bars from first up to end as they are played, with the repeats inside or once with the last endings; 0 when that is
 * more than the score plays at all. */
static size_t play_out(Folding *folding, size_t first, size_t end, bool repeats) {
  size_t count = 0;
  for (size_t b = first; b < end;) {
    int p = folding->form->inner[b];
    const GlnScorePassage *passage = p >= 0 ? &folding->form->passages[p] : NULL;
    bool is_passage = passage != NULL && passage->inside;
    if (is_passage ? !play_passage(folding, passage, repeats, &count) : !add_played(folding, &count, b))
      return 0;
    b = is_passage ? passage->last + (size_t)1 : b + 1;
  }
  return count;
}

static bool is_next(const Folding *folding, const uint32_t *order, size_t left, size_t count) {
  return count > 0 && count <= left && memcmp(order, folding->scratch, count * sizeof *order) == 0;
}

/* The piece of these bars: one that is there, or a new one. */
static GlnStatus piece_of(Folding *folding, const uint32_t *bars, size_t count, bool repeats, size_t *index) {
  GlnScoreForm *form = folding->form;
  for (*index = 0; *index < form->piece_count; (*index)++) {
    const GlnScorePiece *piece = &form->pieces[*index];
    if (piece->repeats == repeats && piece->bar_count == count &&
        memcmp(piece->bars, bars, count * sizeof *bars) == 0)
      return GLN_OK;
  }
  if (form->piece_count == GLN_CHART_SECTIONS_MAX) {
    gln_diags_format(folding->diags, GLN_ERROR, folding->score->bars[bars[0]].node->offset, 1,
                     "take out rehearsal letters, repeats or jumps",
                     "this score falls into too many sections: the limit is %d", GLN_CHART_SECTIONS_MAX);
    return GLN_LIMIT;
  }
  uint32_t *own = GLN_NEW(folding->arena, uint32_t, count);
  if (own == NULL)
    return GLN_MEMORY;
  memcpy(own, bars, count * sizeof *bars);
  form->pieces[form->piece_count++] = (GlnScorePiece){.bars = own, .bar_count = count, .repeats = repeats};
  return GLN_OK;
}

/* The next piece of what is played, and how many bars of the order it takes. */
static GlnStatus take_piece(Folding *folding, const uint32_t *order, size_t left, size_t *index,
                            size_t *taken) {
  size_t first = order[0], end = first + 1;
  while (end < folding->score->bar_count && !folding->cut[end])
    end++;
  *taken = play_out(folding, first, end, true);
  if (folding->cut[first] && is_next(folding, order, left, *taken)) {
    for (size_t i = first; i < end; i++)
      folding->scratch[i - first] = (uint32_t)i;
    return piece_of(folding, folding->scratch, end - first, true, index);
  }
  *taken = play_out(folding, first, end, false);
  if (!is_next(folding, order, left, *taken)) {
    *taken = 1; /* whatever goes upward within the piece */
    while (*taken < left && order[*taken] > order[*taken - 1] && order[*taken] < end)
      (*taken)++;
  }
  return piece_of(folding, order, *taken, false, index);
}

/* ---- names -------------------------------------------------------------------------------------------------------------- */

static bool is_taken(const GlnScoreForm *form, GlnText name) {
  for (size_t i = 0; i < form->piece_count; i++)
    if (gln_text_equal_ignoring_case(form->pieces[i].name, name))
      return true;
  return false;
}

/* A letter as the name of a section: without what ends a name or a form, and not too long. */
static GlnText clean_name(GlnText text, GlnArena *arena) {
  enum { NAME_MAX = 40 };
  GlnBuffer out = gln_buffer(arena);
  text = gln_text_trim(text);
  for (size_t at = 0; at < text.length;) {
    size_t bytes = gln_text_code_point(text, at, NULL);
    char c = text.at[at];
    if (out.length + bytes > NAME_MAX)
      break;
    bool bad = bytes == 1 && ((unsigned char)c < 0x20 || strchr("[],#:|", c) != NULL);
    bad = bad || (bytes == 2 && c == '\xC2' && text.at[at + 1] == '\xA0'); /* U+00A0 */
    if (bad)
      gln_buffer_add_byte(&out, ' ');
    else
      gln_buffer_add(&out, gln_text_slice(text, at, bytes));
    at += bytes;
  }
  GlnText name = gln_text_trim(gln_buffer_text(&out));
  /* "x3" would say how often; "A x3" too. */
  size_t x = name.length;
  while (x > 0 && gln_is_digit(name.at[x - 1]))
    x--;
  bool says_times = x < name.length && x > 0 && (name.at[x - 1] == 'x' || name.at[x - 1] == 'X') &&
                    (x == 1 || gln_is_blank(name.at[x - 2]));
  return says_times ? gln_text_slice(name, 0, x - 1) : name;
}

static GlnStatus name_piece(Folding *folding, size_t index) {
  GlnScoreForm *form = folding->form;
  GlnScorePiece *piece = &form->pieces[index];
  const GlnScoreBar *first = &folding->score->bars[piece->bars[0]];
  GlnText base = gln_text_trim(clean_name(first->rehearsal, folding->arena));
  bool lettered = base.length == 0 && !first->coda;
  if (base.length == 0 && first->coda)
    base = GLN_TEXT("coda");
  for (unsigned round = 1; round < 10000; round++) {
    GlnBuffer name = gln_buffer(folding->arena);
    if (lettered && round <= 26)
      gln_buffer_add_byte(&name, (char)('A' + round - 1));
    else if (lettered)
      gln_buffer_format(&name, "part %u", round);
    else {
      gln_buffer_add(&name, base);
      if (round > 1)
        gln_buffer_format(&name, " no. %u", round);
    }
    GLN_TRY(gln_buffer_status(&name));
    if (is_taken(form, gln_buffer_text(&name)))
      continue;
    piece->name = gln_buffer_text(&name);
    return GLN_OK;
  }
  return GLN_LIMIT; /* not reached: there are fewer pieces */
}

static GlnStatus name_pieces(Folding *folding) {
  GlnScoreForm *form = folding->form;
  bool one = form->piece_count == 1 && form->order_count == 1;
  if (one && clean_name(folding->score->bars[form->pieces[0].bars[0]].rehearsal, folding->arena).length == 0)
    return GLN_OK;
  for (int round = 0; round < 2; round++) /* letters that are given come before those that are made */
    for (size_t i = 0; i < form->piece_count; i++) {
      bool given = folding->score->bars[form->pieces[i].bars[0]].rehearsal.length > 0;
      if (form->pieces[i].name.length == 0 && (given || round == 1))
        GLN_TRY(name_piece(folding, i));
    }
  return GLN_OK;
}

/* ---- the whole ------------------------------------------------------------------------------------------------------------ */

static GlnStatus fold(Folding *folding, const uint32_t *order, size_t count) {
  GlnScoreForm *form = folding->form;
  form->pieces = GLN_NEW(folding->arena, GlnScorePiece, GLN_CHART_SECTIONS_MAX);
  form->order = GLN_NEW(folding->arena, uint16_t, GLN_CHART_FORM_MAX);
  if (form->pieces == NULL || form->order == NULL)
    return GLN_MEMORY;
  for (size_t at = 0; at < count;) {
    size_t index = 0, taken = 0;
    if (form->order_count == GLN_CHART_FORM_MAX) {
      gln_diags_format(folding->diags, GLN_ERROR, folding->score->bars[0].node->offset, 1,
                       "take out rehearsal letters, repeats or jumps",
                       "the form of this score is too long: the limit is %d sections", GLN_CHART_FORM_MAX);
      return GLN_LIMIT;
    }
    GLN_TRY(take_piece(folding, order + at, count - at, &index, &taken));
    form->order[form->order_count++] = (uint16_t)index;
    at += taken;
  }
  return name_pieces(folding);
}

GlnStatus gln_score_form(GlnScore *score, GlnArena *arena, GlnDiags *diags, GlnScoreForm *form) {
  uint32_t *order = NULL;
  size_t count = 0;
  *form = (GlnScoreForm){0};
  GLN_TRY(gln_score_passages(score, arena, form));
  GLN_TRY(gln_score_play(score, form, arena, diags, &order, &count));
  form->played = count;
  Folding folding = {.score = score, .arena = arena, .diags = diags, .form = form};
  folding.scratch_max = count > score->bar_count ? count : score->bar_count;
  folding.cut = GLN_NEW(arena, bool, score->bar_count + 1);
  folding.scratch = GLN_NEW(arena, uint32_t, folding.scratch_max);
  if (folding.cut == NULL || folding.scratch == NULL)
    return GLN_MEMORY;
  cut_at_signs(&folding);
  cut_at_repeats(&folding);
  return fold(&folding, order, count);
}
