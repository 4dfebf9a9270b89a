/* Lines inside the chords: clichés over a held chord, chromatic basses, pedals, guide tones. */
#include "remarks_internal.h"

#define CLICHE_MIN 3 /* chords on one root whose moving note goes by semitones */
#define BASS_MIN   4 /* chords whose bass goes by semitones one way */
#define PEDAL_MIN  3 /* chords over one bass */
#define GUIDE_MIN  5 /* chords whose guide tones all stay or step */

static bool sounds(const GlnStep *step, int pitch_class) {
  return (gln_chord_pitch_classes(step->chord) >> ((pitch_class + 24) % 12) & 1) != 0;
}

static bool adjacent(const GlnStep *steps, size_t i) {
  return !steps[i].chord->silent && !steps[i + 1].chord->silent;
}

static int root_of(const GlnStep *step) {
  return gln_note_pitch_class(step->chord->root);
}

static int bass_of(const GlnStep *step) {
  return gln_note_pitch_class(step->chord->bass);
}

/* How many chords from first on, all on one root, hold the line that starts on note and goes by way a chord. */
static size_t cliche_length(const GlnRemarker *remarker, size_t first, int note, int way) {
  const GlnStep *steps = remarker->steps;
  size_t length = 1;
  for (size_t i = first; i + 1 < remarker->step_count && adjacent(steps, i); i++) {
    int now = note + way * (int)(length - 1), next = now + way;
    if (root_of(&steps[i + 1]) != root_of(&steps[first]) || !sounds(&steps[i + 1], next) ||
        (sounds(&steps[i + 1], now) && (now + 24) % 12 != root_of(&steps[first])) || sounds(&steps[i], next))
      break;
    length++;
  }
  return length;
}

static void add_note(GlnBuffer *out, const GlnChord *chord, int pitch_class) {
  char note[GLN_NOTE_TEXT_MAX];
  int tone = gln_chord_tone_of(chord, (pitch_class + 24) % 12);
  gln_note_print(tone >= 0 ? chord->tones[tone].note : chord->root, GLN_SIGNS_UNICODE, note);
  gln_buffer_add_string(out, note);
}

static size_t remark_cliche(GlnRemarker *remarker, size_t first) {
  size_t best = 0;
  int best_note = 0, best_way = 0;
  for (int note = 0; note < 12; note++)
    for (int way = -1; way <= 1; way += 2)
      if (sounds(&remarker->steps[first], note)) {
        size_t length = cliche_length(remarker, first, note, way);
        if (length > best) {
          best = length;
          best_note = note;
          best_way = way;
        }
      }
  if (best < CLICHE_MIN)
    return 1;
  GlnBuffer out = gln_buffer(remarker->arena);
  gln_buffer_add_string(&out, "The chord stays and one note inside it walks: ");
  for (size_t i = 0; i < best; i++) {
    gln_buffer_add_string(&out, i == 0 ? "" : "–");
    add_note(&out, remarker->steps[first + i].chord, best_note + best_way * (int)i);
  }
  gln_buffer_add_string(&out, ". Let it be heard on one string.");
  if (gln_buffer_status(&out) != GLN_OK)
    remarker->status = GLN_MEMORY;
  gln_remarker_add(remarker, GLN_REMARK_LINE_CLICHE, first, first + best - 1, "", gln_buffer_text(&out));
  return best;
}

static size_t bass_length(const GlnRemarker *remarker, size_t first, int way) {
  size_t i = first;
  while (i + 1 < remarker->step_count && adjacent(remarker->steps, i) &&
         (bass_of(&remarker->steps[i + 1]) - bass_of(&remarker->steps[i]) + 12) % 12 == (way + 12) % 12)
    i++;
  return i - first + 1;
}

static size_t remark_bass(GlnRemarker *remarker, size_t first) {
  for (int way = -1; way <= 1; way += 2) {
    size_t length = bass_length(remarker, first, way);
    if (length < BASS_MIN)
      continue;
    gln_remarker_add(remarker, GLN_REMARK_CHROMATIC_BASS, first, first + length - 1, "",
                     way < 0 ? GLN_TEXT("The bass falls by semitones under the chords.")
                             : GLN_TEXT("The bass climbs by semitones under the chords."));
    return length - 1;
  }
  return 1;
}

static size_t remark_pedal(GlnRemarker *remarker, size_t first) {
  size_t last = first, roots = 1;
  while (last + 1 < remarker->step_count && adjacent(remarker->steps, last) &&
         bass_of(&remarker->steps[last + 1]) == bass_of(&remarker->steps[first])) {
    last++;
    if (root_of(&remarker->steps[last]) != root_of(&remarker->steps[last - 1]))
      roots++;
  }
  if (roots < PEDAL_MIN)
    return last - first + 1;
  gln_remarker_add(remarker, GLN_REMARK_PEDAL, first, last, "",
                   GLN_TEXT("The bass stays while the chords move over it: a pedal."));
  return last - first + 1;
}

/* The third (or the fourth or second that stands for it) and the seventh or sixth; -1 where there is none. */
static void guide_tones(const GlnChord *chord, int tones[2]) {
  tones[0] = tones[1] = -1;
  for (int i = 0; i < chord->tone_count; i++) {
    int number = chord->tones[i].degree.number;
    if ((number == 3 || (tones[0] < 0 && (number == 4 || number == 2))))
      tones[0] = chord->tones[i].pitch_class;
    if (number == 7 || (tones[1] < 0 && number == 6))
      tones[1] = chord->tones[i].pitch_class;
  }
}

static bool steps_to(int from, const int to[2]) {
  for (int i = 0; i < 2; i++) {
    int apart = (to[i] - from + 12) % 12;
    if (to[i] >= 0 && (apart <= 2 || apart >= 10))
      return true;
  }
  return false;
}

static bool guides_step(const GlnChord *from, const GlnChord *to) {
  int a[2], b[2];
  guide_tones(from, a);
  guide_tones(to, b);
  return a[0] >= 0 && a[1] >= 0 && b[0] >= 0 && b[1] >= 0 && steps_to(a[0], b) && steps_to(a[1], b);
}

static size_t remark_guides(GlnRemarker *remarker, size_t first) {
  size_t last = first, changes = 0;
  while (last + 1 < remarker->step_count && adjacent(remarker->steps, last) &&
         guides_step(remarker->steps[last].chord, remarker->steps[last + 1].chord)) {
    last++;
    if (root_of(&remarker->steps[last]) != root_of(&remarker->steps[last - 1]))
      changes++;
  }
  if (changes + 1 >= GUIDE_MIN)
    gln_remarker_add(
        remarker, GLN_REMARK_GUIDE_TONES, first, last, "",
        GLN_TEXT("Thirds and sevenths stay or move by step from chord to chord: two inner voices that "
                 "could be sung. Keep them on the same two strings."));
  return last > first ? last - first : 1;
}

static void sweep(GlnRemarker *remarker, size_t (*remark)(GlnRemarker *, size_t)) {
  for (size_t i = 0; i < remarker->step_count;)
    i += remarker->steps[i].chord->silent ? 1 : remark(remarker, i);
}

void gln_remark_lines(GlnRemarker *remarker) {
  sweep(remarker, remark_cliche);
  sweep(remarker, remark_bass);
  sweep(remarker, remark_pedal);
  sweep(remarker, remark_guides);
}
