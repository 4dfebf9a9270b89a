/* From chart text to what its harmony says: song and harmony brought together. */
#include "app_internal.h"

GlnStatus gln_steps_of_song(const GlnSong *song, GlnArena *arena, GlnStep **steps) {
  *steps = GLN_NEW(arena, GlnStep, song->slot_count);
  if (*steps == NULL)
    return GLN_MEMORY;
  for (size_t i = 0; i < song->slot_count; i++) {
    const GlnSlot *slot = &song->slots[i], *last = i > 0 ? slot - 1 : NULL;
    bool section = last == NULL || last->section != slot->section || last->section_pass != slot->section_pass;
    (*steps)[i] = (GlnStep){.chord = &slot->event->chord,
                            .start = slot->start,
                            .quarters = slot->quarters,
                            .phrase_starts = section,
                            .bar_starts = slot->beat.num == slot->beat.den};
  }
  return GLN_OK;
}

GlnStatus gln_readings_of_song(const GlnSong *song, GlnArena *arena, GlnReadings *readings) {
  const GlnKey *stated = song->chart->has_key ? &song->chart->key : NULL;
  GlnAnalysis *analysis = NULL;
  *readings = (GlnReadings){.unclear = false};
  GLN_TRY(gln_steps_of_song(song, arena, &readings->steps));
  GLN_TRY(gln_harmony_analyse(readings->steps, song->slot_count, stated, arena, &analysis));
  readings->items = analysis->readings;
  for (size_t r = 0; r < analysis->region_count; r++) {
    const GlnRegion *region = &analysis->regions[r];
    if (region->clear)
      continue;
    readings->unclear = true;
    readings->unclear_key = stated != NULL ? *stated : region->key;
    GLN_TRY(gln_harmony_read(readings->steps + region->first, region->count, readings->unclear_key, arena,
                             analysis->readings + region->first));
  }
  return GLN_OK;
}

void gln_add_unclear_key_words(const GlnReadings *readings, GlnBuffer *out) {
  if (!readings->unclear)
    return;
  char note[GLN_NOTE_TEXT_MAX];
  (void)gln_note_print(readings->unclear_key.tonic, GLN_SIGNS_UNICODE, note);
  gln_buffer_format(
      out,
      "No key is clear in a part of these chords; they are taken in %s %s there. A key: line in the "
      "chart settles it. ",
      note, readings->unclear_key.minor ? "minor" : "major");
}

GlnStatus gln_song_explain(const GlnSong *song, GlnArena *arena, GlnExplanation *explanation) {
  const GlnKey *stated = song->chart->has_key ? &song->chart->key : NULL;
  GLN_TRY(gln_steps_of_song(song, arena, &explanation->steps));
  GLN_TRY(gln_harmony_analyse(explanation->steps, song->slot_count, stated, arena, &explanation->analysis));
  return gln_harmony_remark(explanation->steps, song->slot_count, explanation->analysis, arena,
                            &explanation->remarks);
}

GlnStatus gln_explanation_make(GlnText name, GlnText source, GlnArena *arena, GlnDiags *diags,
                               GlnExplanation *explanation) {
  *explanation = (GlnExplanation){.name = name};
  GLN_TRY(gln_chart_read(source, arena, diags, &explanation->chart));
  GLN_TRY(gln_song_play(explanation->chart, arena, diags, &explanation->song));
  return gln_song_explain(explanation->song, arena, explanation);
}

GlnStatus gln_job_explain(GlnJob *job, GlnExplanation *explanation) {
  GlnText name, source;
  GLN_TRY(gln_job_read_source(job, &name, &source));
  GlnDiags diags = gln_diags(job->arena);
  GlnStatus status = gln_explanation_make(name, source, job->arena, &diags, explanation);
  gln_job_show_diags(job, &diags, name, source);
  return status;
}

bool gln_stated_key_is_heard(const GlnExplanation *explanation) {
  const GlnAnalysis *analysis = explanation->analysis;
  GlnKey stated = explanation->chart->key;
  for (size_t r = 0; r < analysis->region_count; r++) {
    GlnKey heard = analysis->regions[r].key;
    if (analysis->regions[r].clear && heard.minor == stated.minor &&
        gln_note_pitch_class(heard.tonic) == gln_note_pitch_class(stated.tonic))
      return true;
  }
  return false;
}
