/* The man page, from the table: roff for man(1). */
#include "app_internal.h"

/* roff takes \ for itself, - for a hyphen that cannot be copied, and . or ' at a line's start for a request. */
static void add_roff(GlnBuffer *out, GlnText text) {
  for (size_t i = 0; i < text.length; i++) {
    char c = text.at[i];
    if (c == '\\')
      gln_buffer_add_string(out, "\\e");
    else if (c == '-')
      gln_buffer_add_string(out, "\\-");
    else if ((c == '.' || c == '\'') && (i == 0 || text.at[i - 1] == '\n'))
      gln_buffer_format(out, "\\&%c", c);
    else
      gln_buffer_add_byte(out, c);
  }
}

static void add_prose(GlnBuffer *out, const char *text) {
  add_roff(out, gln_text(text));
  gln_buffer_add_byte(out, '\n');
}

static void add_commands(GlnBuffer *out) {
  gln_buffer_add_string(out, ".SH COMMANDS\n");
  for (size_t i = 0; i < gln_command_count(); i++) {
    const GlnCommand *command = gln_command_at(i);
    gln_buffer_format(out, ".TP\n.B %s \\fI%s\\fP\n", command->name, command->operand);
    add_prose(out, command->about);
    gln_buffer_add_string(out, ".br\nOptions:");
    for (size_t k = 0; k < command->option_count; k++) {
      gln_buffer_add_string(out, k > 0 ? ", " : " ");
      gln_buffer_add_string(out, "\\fB\\-\\-");
      add_roff(out, gln_text(gln_option_at(command->options[k])->name));
      gln_buffer_add_string(out, "\\fP");
    }
    gln_buffer_add_byte(out, '\n');
  }
}

static void add_option(const GlnOption *option, GlnBuffer *out) {
  gln_buffer_add_string(out, ".TP\n");
  if (option->letter != 0)
    gln_buffer_format(out, "\\fB\\-%c\\fP, ", option->letter);
  gln_buffer_add_string(out, "\\fB\\-\\-");
  add_roff(out, gln_text(option->name));
  gln_buffer_add_string(out, "\\fP");
  if (option->kind != GLN_OPTION_FLAG) {
    gln_buffer_add_string(out, " \\fI");
    add_roff(out, gln_text(option->kind == GLN_OPTION_SOME_OF ? "LIST" : option->values));
    gln_buffer_add_string(out, "\\fP");
  }
  gln_buffer_add_byte(out, '\n');
  GlnBuffer words = gln_buffer(out->arena);
  gln_add_option_words(option, &words);
  add_roff(out, gln_buffer_text(&words));
  gln_buffer_add_byte(out, '\n');
  out->failed = out->failed || words.failed;
}

static void add_statuses(GlnBuffer *out) {
  static const struct {
    GlnStatus status;
    const char *words;
  } rows[] = {{GLN_OK, "done"},
              {GLN_NO, "the answer is no: a check found faults"},
              {GLN_USAGE, "bad usage"},
              {GLN_INPUT, "bad input"},
              {GLN_SYSTEM, "the system failed: disk, memory or a device"}};
  gln_buffer_add_string(out, ".SH EXIT STATUS\n");
  for (size_t i = 0; i < GLN_COUNT_OF(rows); i++)
    gln_buffer_format(out, ".TP\n.B %d\n%s\n", gln_status_exit(rows[i].status), rows[i].words);
}

void gln_add_man_page(GlnBuffer *out) {
  gln_buffer_add_string(
      out, ".TH GRIPLINE 1 \"\" \"gripline " GRIPLINE_VERSION "\" \"User Commands\"\n"
           ".SH NAME\ngripline \\- from a chord chart to grips with fingers near each other\n"
           ".SH SYNOPSIS\n.B gripline\n.I COMMAND\n[\\fIOPTIONS\\fP] [\\fIFILE\\fP|\\fB\\-\\fP]\n"
           ".SH DESCRIPTION\n"
           "gripline turns a chord chart into an accompaniment that two hands can play: grips whose "
           "fingers lie near each other, a printed sheet and a MIDI file.\n"
           "The file \\fB\\-\\fP is standard input. Messages go to standard error as "
           "\\fIfile\\fP:\\fIline\\fP:\\fIcolumn\\fP: error: what is wrong; what to do.\n");
  add_commands(out);
  gln_buffer_add_string(out, ".SH OPTIONS\nAn option means the same in every command that takes it.\n");
  for (size_t id = 0; id < GLN_OPTION_COUNT; id++)
    add_option(gln_option_at((GlnOptionId)id), out);
  add_statuses(out);
  gln_buffer_add_string(out, ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nWhen set, nothing is printed bold or dim.\n"
                             ".SH EXAMPLES\n.nf\n");
  for (size_t i = 0; i < gln_command_count(); i++)
    add_prose(out, gln_command_at(i)->example);
  gln_buffer_add_string(
      out, ".fi\n.SH HANDS AND EARS\n"
           "What gripline calls playable is worked out for a typical hand, not for yours. Warm up, "
           "rest often, and stop at pain, tingling or numbness; if it stays, see a clinician. Listen "
           "at a moderate level. This is no medical advice.\n");
}
