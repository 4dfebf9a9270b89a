/* Chords as MusicXML says them, kind and degrees, and as gripline does: one table for both ways. */
#include "musicxml_internal.h"

#include <stdlib.h>
#include <string.h>

/* ---- the table --------------------------------------------------------------------------------------------------- */

/* X(kind, suffix of the symbol, tones where no row of the table of qualities has them). MusicXML 4.0, kind-value. The
 * eleventh and thirteenth chords are those of the symbol, not of the whole stack of thirds. The augmented sixth chords and
 * the Tristan chord stand on their lowest note. Of two kinds with the same tones the first is written. */
#define KIND_LIST(X)                                                                                         \
  X("major", "", NULL)                                                                                       \
  X("minor", "m", NULL)                                                                                      \
  X("augmented", "+", NULL)                                                                                  \
  X("diminished", "dim", NULL)                                                                               \
  X("dominant", "7", NULL)                                                                                   \
  X("major-seventh", "maj7", NULL)                                                                           \
  X("minor-seventh", "m7", NULL)                                                                             \
  X("diminished-seventh", "dim7", NULL)                                                                      \
  X("augmented-seventh", "7#5", NULL)                                                                        \
  X("half-diminished", "m7b5", NULL)                                                                         \
  X("major-minor", "m(maj7)", NULL)                                                                          \
  X("major-sixth", "6", NULL)                                                                                \
  X("minor-sixth", "m6", NULL)                                                                               \
  X("dominant-ninth", "9", NULL)                                                                             \
  X("major-ninth", "maj9", NULL)                                                                             \
  X("minor-ninth", "m9", NULL)                                                                               \
  X("dominant-11th", "11", NULL)                                                                             \
  X("major-11th", "maj11", NULL)                                                                             \
  X("minor-11th", "m11", NULL)                                                                               \
  X("dominant-13th", "13", NULL)                                                                             \
  X("major-13th", "maj13", NULL)                                                                             \
  X("minor-13th", "m13", NULL)                                                                               \
  X("suspended-second", "sus2", NULL)                                                                        \
  X("suspended-fourth", "sus4", NULL)                                                                        \
  X("power", "5", NULL)                                                                                      \
  X("pedal", "5(omit5)", NULL)                                                                               \
  X("Neapolitan", "", NULL)                                                                                  \
  X("Italian", NULL, "1 3 #6")                                                                               \
  X("French", NULL, "1 3 #4 #6")                                                                             \
  X("German", NULL, "1 3 5 #6")                                                                              \
  X("Tristan", NULL, "1 #4 #6 #9")                                                                           \
  X("other", NULL, "1")                                                                                      \
  X("none", NULL, "")

typedef struct Kind {
  const char *name, *suffix, *tones;
} Kind;

static const Kind kinds[] = {
#define KIND_ROW(kind, suffix, tones) {kind, suffix, tones},
    KIND_LIST(KIND_ROW)
#undef KIND_ROW
};

enum {
  KIND_POWER = 24,
  KIND_PEDAL,
  KIND_NEAPOLITAN,
  KIND_ITALIAN,
  KIND_OTHER = 31,
  KIND_NONE,
  KIND_COUNT = GLN_COUNT_OF(kinds)
};

size_t gln_kind_count(void) {
  return KIND_COUNT;
}

const char *gln_kind_name(size_t index) {
  return kinds[index].name;
}

/* ---- sets of degrees ---------------------------------------------------------------------------------------------- */

#define TONES_MAX 24
typedef struct Tones {
  GlnDegree of[TONES_MAX];
  int count;
} Tones;

static bool same_degree(GlnDegree a, GlnDegree b) {
  return a.number == b.number && a.alteration == b.alteration;
}

static int find_tone(const Tones *tones, GlnDegree degree) {
  for (int i = 0; i < tones->count; i++)
    if (same_degree(tones->of[i], degree))
      return i;
  return -1;
}

static int find_number(const Tones *tones, int number) {
  for (int i = 0; i < tones->count; i++)
    if (tones->of[i].number == number)
      return i;
  return -1;
}

static void add_tone(Tones *tones, GlnDegree degree) {
  if (find_tone(tones, degree) < 0 && tones->count < TONES_MAX)
    tones->of[tones->count++] = degree;
}

static void take_tone(Tones *tones, int index) {
  tones->count--;
  memmove(&tones->of[index], &tones->of[index + 1], (size_t)(tones->count - index) * sizeof tones->of[0]);
}

/* "1 b3 5" */
static Tones tones_of_text(const char *text) {
  Tones tones = {.count = 0};
  for (GlnText rest = gln_text_trim(gln_text(text)); rest.length > 0; rest = gln_text_trim(rest)) {
    GlnDegree degree;
    size_t used = 0;
    if (gln_degree_parse(rest, &degree, &used) != GLN_OK)
      break; /* not reached: the tables are sound */
    add_tone(&tones, degree);
    rest = gln_text_from(rest, used);
  }
  return tones;
}

static Tones tones_of_kind(size_t kind) {
  const Kind *row = &kinds[kind];
  if (row->suffix == NULL)
    return tones_of_text(row->tones);
  for (size_t i = 0; i < gln_quality_count(); i++)
    if (strcmp(gln_quality_at(i)->suffix, row->suffix) == 0)
      return tones_of_text(gln_quality_at(i)->degrees);
  return tones_of_text("1 3 5"); /* not reached: every suffix is in the table of qualities */
}

/* What "add" counts from: "major and perfect intervals except for a minor seventh". MusicXML 4.0, degree-alter. */
static int dominant_alteration(int number) {
  return number == 7 || number == 14 ? -1 : 0;
}

/* ---- notes and keys --------------------------------------------------------------------------------------------------- */

GlnNote gln_note_moved(GlnNote note, int steps, int semitones) {
  int letter = ((note.letter + steps) % 7 + 7) % 7;
  GlnNote moved = {(int8_t)letter, 0};
  int want = ((gln_note_pitch_class(note) + semitones) % 12 + 12) % 12;
  int accidental = (want - gln_note_pitch_class(moved) + 18) % 12 - 6;
  moved.accidental = (int8_t)(accidental > 2 || accidental < -2 ? 0 : accidental);
  return moved;
}

GlnKey gln_key_of_fifths(int fifths, bool minor) {
  /* Letters in fifths: F C G D A E B. */
  static const int8_t letters[] = {3, 0, 4, 1, 5, 2, 6};
  int place = fifths + (minor ? 4 : 1); /* of the tonic in that row, F being 0 */
  int octave = place >= 0 ? place / 7 : -((6 - place) / 7);
  return (GlnKey){{letters[place - 7 * octave], (int8_t)octave}, minor};
}

static bool read_step(GlnText text, GlnNote *note) {
  static const char letters[] = "CDEFGAB";
  if (text.length != 1)
    return false;
  const char *found = strchr(letters, text.at[0] >= 'a' ? text.at[0] - 'a' + 'A' : text.at[0]);
  if (found == NULL || *found == '\0')
    return false;
  *note = (GlnNote){(int8_t)(found - letters), 0};
  return true;
}

/* A step and its alteration; microtones go to the nearest semitone. */
static bool read_note(const GlnXmlNode *node, GlnElement step, GlnElement alter, GlnNote *note) {
  double value = 0;
  if (!read_step(gln_xml_text(node, step), note))
    return false;
  GlnText text = gln_xml_text(node, alter);
  if (text.length > 0 && gln_text_number(text, &value) != GLN_OK)
    return false;
  if (value > 2.5 || value < -2.5)
    return false;
  note->accidental = (int8_t)(value < 0 ? value - 0.5 : value + 0.5);
  return true;
}

/* ---- reading ------------------------------------------------------------------------------------------------------- */

__attribute__((format(printf, 4, 5))) static void warn(GlnDiags *diags, const GlnXmlNode *node,
                                                       const char *advice, const char *format, ...) {
  va_list arguments;
  va_start(arguments, format);
  GlnBuffer words = gln_buffer(diags->arena);
  gln_buffer_format_list(&words, format, arguments);
  va_end(arguments);
  GlnText text = gln_buffer_text(&words);
  gln_diags_format(diags, GLN_WARNING, node->offset, 1, advice, "%.*s", (int)text.length, text.at);
}

/* "bVII", "ii": the older way to name a root by its place in the key. */
static bool read_function(GlnText text, int *number, int *alter) {
  static const char *const numerals[] = {"VII", "III", "VI", "IV", "II", "V", "I"};
  static const int8_t values[] = {7, 3, 6, 4, 2, 5, 1};
  *alter = 0;
  for (; text.length > 0 && (text.at[0] == 'b' || text.at[0] == '#'); text = gln_text_from(text, 1))
    *alter += text.at[0] == '#' ? 1 : -1;
  for (size_t i = 0; i < GLN_COUNT_OF(numerals); i++) {
    GlnText numeral = gln_text(numerals[i]);
    if (gln_text_equal_ignoring_case(gln_text_slice(text, 0, numeral.length), numeral)) {
      *number = values[i];
      return abs(*alter) <= 2;
    }
  }
  return false;
}

static bool note_of_numeral(GlnKey key, int number, int alter, GlnNote *note) {
  static const int8_t minor_scale[] = {0, 0, -1, 0, 0, -1, -1};
  GlnDegree degree = {(int8_t)number, (int8_t)(alter + (key.minor ? minor_scale[number - 1] : 0))};
  *note = gln_note_above(key.tonic, degree);
  return abs(note->accidental) <= 2;
}

/* Root by name, by numeral or by function. *given: it was there at all. */
static bool read_root(const GlnXmlNode *harmony, const GlnHarmonyPlace *place, GlnNote *root) {
  const GlnXmlNode *named = gln_xml_child(harmony, GLN_ELEMENT_ROOT);
  const GlnXmlNode *numeral = gln_xml_child(harmony, GLN_ELEMENT_NUMERAL);
  const GlnXmlNode *function = gln_xml_child(harmony, GLN_ELEMENT_FUNCTION);
  if (named != NULL) {
    if (!read_note(named, GLN_ELEMENT_ROOT_STEP, GLN_ELEMENT_ROOT_ALTER, root))
      return false;
    *root = gln_note_moved(*root, place->steps, place->semitones);
    return true;
  }
  GlnKey key = place->key;
  int number = 0, alter = 0;
  if (numeral != NULL) {
    number = (int)gln_xml_integer(numeral, GLN_ELEMENT_NUMERAL_ROOT, 1, 7, 0);
    alter = (int)gln_xml_integer(numeral, GLN_ELEMENT_NUMERAL_ALTER, -2, 2, 0);
    const GlnXmlNode *own = gln_xml_child(numeral, GLN_ELEMENT_NUMERAL_KEY);
    if (own != NULL)
      key = gln_key_of_fifths((int)gln_xml_integer(own, GLN_ELEMENT_NUMERAL_FIFTHS, -7, 7, 0),
                              gln_text_find(gln_xml_text(own, GLN_ELEMENT_NUMERAL_MODE), GLN_TEXT("minor"),
                                            0) < gln_xml_text(own, GLN_ELEMENT_NUMERAL_MODE).length);
  } else if (function == NULL || !read_function(function->text, &number, &alter)) {
    return false;
  }
  return number > 0 && note_of_numeral(key, number, alter, root);
}

static size_t find_kind(GlnText name) {
  for (size_t i = 0; i < KIND_COUNT; i++)
    if (gln_text_equal_ignoring_case(gln_text(kinds[i].name), name))
      return i;
  return KIND_COUNT;
}

/* One <degree> done to the tones. */
static void apply_degree(Tones *tones, GlnKindDegree change) {
  int number = change.degree.number;
  int at = find_number(tones, number);
  GlnDegree natural = {(int8_t)number, (int8_t)(dominant_alteration(number) + change.degree.alteration)};
  if (change.type == GLN_KIND_SUBTRACT) {
    if (at >= 0)
      take_tone(tones, at);
    return;
  }
  if (change.type == GLN_KIND_ALTER && at >= 0) {
    natural.alteration = (int8_t)(tones->of[at].alteration + change.degree.alteration);
    take_tone(tones, at);
  }
  /* A second beside a third is what players call the ninth. */
  if (number == 2 && find_number(tones, 3) >= 0)
    natural.number = 9;
  add_tone(tones, natural);
}

/* false when it says nothing that can be done. */
static bool read_degree(const GlnXmlNode *node, GlnKindDegree *degree) {
  long number = gln_xml_integer(node, GLN_ELEMENT_DEGREE_VALUE, 1, 15, 0);
  double alter = 0;
  GlnText alter_text = gln_xml_text(node, GLN_ELEMENT_DEGREE_ALTER);
  GlnText type = gln_xml_text(node, GLN_ELEMENT_DEGREE_TYPE);
  if (alter_text.length > 0 && gln_text_number(alter_text, &alter) != GLN_OK)
    return false;
  if (number == 0 || alter > 2 || alter < -2)
    return false;
  degree->degree = (GlnDegree){(int8_t)(number > 13 ? number - 7 : number), (int8_t)alter};
  degree->type = GLN_KIND_ADD;
  if (gln_text_equal(type, GLN_TEXT("alter")))
    degree->type = GLN_KIND_ALTER;
  else if (gln_text_equal(type, GLN_TEXT("subtract")))
    degree->type = GLN_KIND_SUBTRACT;
  else if (!gln_text_equal(type, GLN_TEXT("add")))
    return false;
  return true;
}

static void apply_degrees(const GlnXmlNode *kind, GlnDiags *diags, Tones *tones) {
  /* The degrees of this chord, not of another in the same <harmony>. */
  for (const GlnXmlNode *at = kind->next; at != NULL; at = at->next) {
    GlnKindDegree degree;
    if (at->name == GLN_ELEMENT_ROOT || at->name == GLN_ELEMENT_NUMERAL || at->name == GLN_ELEMENT_FUNCTION)
      return;
    if (at->name != GLN_ELEMENT_DEGREE)
      continue;
    if (read_degree(at, &degree))
      apply_degree(tones, degree);
    else
      warn(diags, at, "write a degree from 1 to 13, altered by up to 2, with add, alter or subtract",
           "a degree of this chord is not understood, and is left out");
  }
}

static int compare_degrees(const void *left, const void *right) {
  const GlnDegree *a = left, *b = right;
  return a->number != b->number ? a->number - b->number : a->alteration - b->alteration;
}

/* The tone that an inversion puts lowest: 1 the third, 2 the fifth … */
static bool bass_of_inversion(const Tones *tones, GlnNote root, long inversion, GlnNote *bass) {
  Tones sorted = *tones;
  qsort(sorted.of, (size_t)sorted.count, sizeof sorted.of[0], compare_degrees);
  if (inversion <= 0 || inversion >= sorted.count)
    return false;
  *bass = gln_note_above(root, sorted.of[inversion]);
  return true;
}

/* By way of Harte's syntax, which takes any tones: Harte et al., ISMIR 2005. */
static bool assemble(GlnNote root, const Tones *tones, const GlnNote *bass, GlnChord *chord) {
  char label[GLN_SYMBOL_TEXT_MAX] = {0}, part[GLN_DEGREE_TEXT_MAX], name[GLN_NOTE_TEXT_MAX];
  size_t length = gln_note_print(root, GLN_SIGNS_ASCII, name);
  memcpy(label, name, length);
  bool has_root = false;
  for (int i = 0; i < tones->count; i++) {
    size_t size = gln_degree_print(tones->of[i], GLN_SIGNS_ASCII, part);
    if (length + size + 24 > sizeof label)
      return false;
    memcpy(label + length, i == 0 ? ":(" : ",", i == 0 ? 2 : 1);
    length += i == 0 ? 2 : 1;
    memcpy(label + length, part, size);
    length += size;
    has_root = has_root || (tones->of[i].number == 1 && tones->of[i].alteration == 0);
  }
  if (tones->count == 0)
    return false;
  GlnText close = has_root ? GLN_TEXT(")") : GLN_TEXT(",*1)");
  memcpy(label + length, close.at, close.length);
  length += close.length;
  if (bass != NULL) {
    size_t size = gln_degree_print(gln_degree_between(root, *bass), GLN_SIGNS_ASCII, part);
    label[length++] = '/';
    memcpy(label + length, part, size);
    length += size;
  }
  return gln_chord_parse_harte((GlnText){label, length}, chord, NULL) == GLN_OK;
}

/* The symbol that the author sees, where the kind says too little. */
static bool parse_shown(GlnNote root, GlnText shown, GlnChord *chord) {
  char symbol[GLN_SYMBOL_TEXT_MAX], name[GLN_NOTE_TEXT_MAX];
  size_t length = gln_note_print(root, GLN_SIGNS_ASCII, name);
  if (shown.length == 0 || length + shown.length > sizeof symbol)
    return false;
  memcpy(symbol, name, length);
  memcpy(symbol + length, shown.at, shown.length);
  return gln_chord_parse((GlnText){symbol, length + shown.length}, chord, NULL) == GLN_OK;
}

static bool read_bass(const GlnXmlNode *harmony, const GlnHarmonyPlace *place, GlnDiags *diags, GlnNote root,
                      size_t kind, const Tones *tones, GlnNote *bass) {
  const GlnXmlNode *written = gln_xml_child(harmony, GLN_ELEMENT_BASS);
  if (written != NULL) {
    if (read_note(written, GLN_ELEMENT_BASS_STEP, GLN_ELEMENT_BASS_ALTER, bass)) {
      *bass = gln_note_moved(*bass, place->steps, place->semitones);
      return !gln_note_equal(*bass, root);
    }
    warn(diags, written, "write a bass-step from A to G and a bass-alter from -2 to 2",
         "the bass of this chord is not understood, and is left out");
  }
  long inversion = gln_xml_integer(harmony, GLN_ELEMENT_INVERSION, 0, 12, kind == KIND_NEAPOLITAN ? 1 : 0);
  return bass_of_inversion(tones, root, inversion, bass);
}

bool gln_xml_chord_read(const GlnXmlNode *harmony, const GlnHarmonyPlace *place, GlnDiags *diags,
                        GlnChord *chord) {
  const GlnXmlNode *kind = gln_xml_child(harmony, GLN_ELEMENT_KIND);
  GlnNote root, bass;
  if (kind != NULL && gln_text_equal_ignoring_case(kind->text, GLN_TEXT("none"))) {
    *chord = (GlnChord){.silent = true, .quality = -1, .root_tone = -1, .bass_tone = -1};
    return true;
  }
  if (!read_root(harmony, place, &root)) {
    warn(diags, harmony, "write it into the chart by hand",
         "this chord has no root that gripline understands, and is "
         "left out");
    return false;
  }
  GlnText name = kind != NULL ? kind->text : GLN_TEXT("major");
  size_t row = find_kind(name);
  GlnText shown = kind != NULL ? gln_xml_attribute(kind, GLN_ATTRIBUTE_TEXT) : (GlnText){NULL, 0};
  bool has_degrees = gln_xml_child(harmony, GLN_ELEMENT_DEGREE) != NULL;
  if (row == KIND_COUNT || (row == KIND_OTHER && !has_degrees)) {
    if (parse_shown(root, shown, chord))
      return true;
    warn(diags, kind, "look at the chart",
         "the kind of this chord, \"%.*s\", says too little; its root alone is taken",
         (int)(name.length < 40 ? name.length : 40), name.at);
    row = KIND_OTHER;
  }
  Tones tones = tones_of_kind(row);
  if (kind != NULL)
    apply_degrees(kind, diags, &tones);
  bool has_bass = read_bass(harmony, place, diags, root, row, &tones, &bass);
  if (assemble(root, &tones, has_bass ? &bass : NULL, chord) || parse_shown(root, shown, chord))
    return true;
  warn(diags, harmony, "write it into the chart by hand",
       "this chord has tones that no symbol can spell, and is left out");
  return false;
}

/* ---- writing --------------------------------------------------------------------------------------------------------- */

static Tones tones_of_chord(const GlnChord *chord) {
  Tones tones = {.count = 0};
  for (int i = 0; i < chord->own_count; i++)
    add_tone(&tones, chord->tones[i].degree);
  return tones;
}

/* What a kind costs in degrees; what they are. Altering a fifth is as plain as adding, plainer than altering another tone or
 * taking one away: 7b9 is a seventh chord with b9, not a ninth chord altered. Design choice. */
static int spell_from(size_t kind, const Tones *wanted, GlnKindSpelling *spelling) {
  enum { ADD_COST = 3, ALTER_FIFTH_COST = 3, ALTER_COST = 4, SUBTRACT_COST = 4 };
  Tones base = tones_of_kind(kind);
  bool used[TONES_MAX] = {false};
  int cost = 0;
  *spelling = (GlnKindSpelling){.kind = kinds[kind].name};
  for (int i = 0; i < base.count; i++) {
    int at = find_tone(wanted, base.of[i]);
    if (at >= 0) {
      used[at] = true;
      continue;
    }
    int number = base.of[i].number;
    int other = find_number(wanted, number);
    if (other >= 0 && !used[other] && find_tone(&base, wanted->of[other]) < 0) {
      used[other] = true;
      spelling->degrees[spelling->degree_count++] = (GlnKindDegree){
          {(int8_t)number, (int8_t)(wanted->of[other].alteration - base.of[i].alteration)}, GLN_KIND_ALTER};
      cost += number == 5 ? ALTER_FIFTH_COST : ALTER_COST;
    } else {
      spelling->degrees[spelling->degree_count++] = (GlnKindDegree){{(int8_t)number, 0}, GLN_KIND_SUBTRACT};
      cost += SUBTRACT_COST;
    }
  }
  for (int i = 0; i < wanted->count; i++) {
    if (used[i])
      continue;
    GlnDegree degree = wanted->of[i];
    degree.alteration = (int8_t)(degree.alteration - dominant_alteration(degree.number));
    if (spelling->degree_count == GLN_KIND_DEGREES_MAX || abs(degree.alteration) > 2)
      return -1;
    spelling->degrees[spelling->degree_count++] = (GlnKindDegree){degree, GLN_KIND_ADD};
    cost += ADD_COST;
  }
  return cost;
}

/* The same tones when read again, whatever the order in which degrees are done. */
static bool reads_back(size_t kind, const Tones *wanted, const GlnKindSpelling *spelling) {
  Tones tones = tones_of_kind(kind);
  for (int i = 0; i < spelling->degree_count; i++)
    apply_degree(&tones, spelling->degrees[i]);
  if (tones.count != wanted->count)
    return false;
  for (int i = 0; i < wanted->count; i++)
    if (find_tone(&tones, wanted->of[i]) < 0)
      return false;
  return true;
}

static bool is_neapolitan(const GlnChord *chord, const GlnKey *key) {
  if (key == NULL || !chord->has_bass || chord->tone_count != 3 || chord->quality < 0 ||
      gln_quality_at((size_t)chord->quality)->suffix[0] != '\0')
    return false;
  return gln_note_equal(chord->root, gln_note_above(key->tonic, (GlnDegree){2, -1})) &&
         gln_note_equal(chord->bass, gln_note_above(chord->root, (GlnDegree){3, 0}));
}

GlnKindSpelling gln_kind_spell(const GlnChord *chord, const GlnKey *key) {
  /* A stack of adds is clearer than a kind of which little is left: design choice. */
  enum { OTHER_COST = 11 };
  if (chord->silent)
    return (GlnKindSpelling){.kind = kinds[KIND_NONE].name};
  if (is_neapolitan(chord, key))
    return (GlnKindSpelling){.kind = kinds[KIND_NEAPOLITAN].name};
  Tones wanted = tones_of_chord(chord);
  GlnKindSpelling best, spelling;
  int best_cost = -1;
  (void)spell_from(KIND_OTHER, &wanted, &best);
  for (size_t kind = 0; kind < KIND_OTHER; kind++) {
    int cost = spell_from(kind, &wanted, &spelling);
    bool exact_only = kind >= KIND_POWER; /* names that no other chord goes by */
    if (cost < 0 || kind == KIND_NEAPOLITAN || (exact_only && cost > 0) || cost >= OTHER_COST ||
        (best_cost >= 0 && cost >= best_cost) || !reads_back(kind, &wanted, &spelling))
      continue;
    best = spelling;
    best_cost = cost;
  }
  return best;
}
