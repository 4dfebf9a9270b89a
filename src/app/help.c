/* Help, from the table. */
#include "app_internal.h"

#define OPTION_COLUMN 26 /* where an option's words begin */

void gln_add_styled(const GlnJob *job, GlnBuffer *out, GlnStyle style, GlnText text) {
  bool styled = style != GLN_STYLE_PLAIN && job->app->colour && text.length > 0;
  if (styled)
    gln_buffer_add_string(out, style == GLN_STYLE_BOLD ? "\x1b[1m" : "\x1b[2m");
  gln_buffer_add(out, text);
  if (styled)
    gln_buffer_add_string(out, "\x1b[0m");
}

void gln_add_wrapped(GlnBuffer *out, GlnText words, size_t at, size_t indent, size_t columns) {
  bool first = true;
  for (words = gln_text_trim(words); words.length > 0; words = gln_text_trim(words)) {
    size_t end = gln_text_find(words, GLN_TEXT(" "), 0);
    GlnText word = gln_text_slice(words, 0, end);
    size_t width = gln_text_columns(word);
    if (!first && at + 1 + width > columns) {
      gln_buffer_add_byte(out, '\n');
      gln_buffer_add_repeated(out, GLN_TEXT(" "), indent);
      at = indent;
    } else if (!first) {
      gln_buffer_add_byte(out, ' ');
      at++;
    }
    gln_buffer_add(out, word);
    at += width;
    first = false;
    words = gln_text_from(words, end);
  }
}

static void add_option_name(const GlnOption *option, GlnBuffer *out) {
  if (option->letter != 0)
    gln_buffer_format(out, "-%c, ", option->letter);
  gln_buffer_format(out, "--%s", option->name);
  if (option->kind == GLN_OPTION_SOME_OF)
    gln_buffer_add_string(out, " LIST");
  else if (option->kind != GLN_OPTION_FLAG)
    gln_buffer_format(out, " %s", option->values);
}

void gln_add_option_words(const GlnOption *option, GlnBuffer *out) {
  gln_buffer_add_string(out, option->summary);
  if (option->kind == GLN_OPTION_SOME_OF) {
    gln_buffer_add_string(out, ": ");
    for (size_t n = 0; gln_option_word(option, n).length > 0; n++) {
      gln_buffer_add_string(out, n > 0 ? ", " : "");
      gln_buffer_add(out, gln_option_word(option, n));
    }
  }
  if (option->kind == GLN_OPTION_NUMBER || option->kind == GLN_OPTION_INTEGER)
    gln_buffer_format(out, ", %d to %d", (int)option->low, (int)option->high);
  if (option->standard[0] != '\0')
    gln_buffer_format(out, " (unless given: %s)", option->standard);
}

static void add_options(const GlnJob *job, const GlnCommand *command, GlnBuffer *out) {
  gln_add_styled(job, out, GLN_STYLE_BOLD, GLN_TEXT("options"));
  gln_buffer_add_byte(out, '\n');
  for (size_t i = 0; i < command->option_count; i++) {
    const GlnOption *option = gln_option_at(command->options[i]);
    GlnBuffer name = gln_buffer(job->arena), words = gln_buffer(job->arena);
    add_option_name(option, &name);
    gln_add_option_words(option, &words);
    gln_buffer_add_string(out, "  ");
    gln_buffer_add_padded(out, gln_buffer_text(&name), OPTION_COLUMN - 2);
    if (gln_text_columns(gln_buffer_text(&name)) > OPTION_COLUMN - 4) {
      gln_buffer_add_byte(out, '\n');
      gln_buffer_add_repeated(out, GLN_TEXT(" "), OPTION_COLUMN);
    }
    gln_add_wrapped(out, gln_buffer_text(&words), OPTION_COLUMN, OPTION_COLUMN, job->app->columns);
    gln_buffer_add_byte(out, '\n');
  }
}

static void add_command_help(const GlnJob *job, const GlnCommand *command, GlnBuffer *out) {
  GlnBuffer title = gln_buffer(job->arena);
  gln_buffer_format(&title, "gripline %s", command->name);
  gln_add_styled(job, out, GLN_STYLE_BOLD, gln_buffer_text(&title));
  gln_buffer_format(out, ": %s\n\n", command->summary);
  gln_add_wrapped(out, gln_text(command->about), 0, 0, job->app->columns);
  gln_buffer_format(out, "\n\nusage:   gripline %s [OPTIONS] %s\nexample: %s\n\n", command->name,
                    command->operand, command->example);
  add_options(job, command, out);
}

static void add_program_help(const GlnJob *job, GlnBuffer *out) {
  gln_add_styled(job, out, GLN_STYLE_BOLD, GLN_TEXT("gripline"));
  gln_buffer_add_string(out, ": from a chord chart to grips with fingers near each other\n\n"
                             "usage: gripline COMMAND [OPTIONS] FILE     FILE - is standard input\n\n");
  gln_add_styled(job, out, GLN_STYLE_BOLD, GLN_TEXT("commands"));
  gln_buffer_add_byte(out, '\n');
  for (size_t i = 0; i < gln_command_count(); i++) {
    const GlnCommand *command = gln_command_at(i);
    GlnBuffer call = gln_buffer(job->arena);
    gln_buffer_format(&call, "%s %s", command->name, command->operand);
    gln_buffer_add_string(out, "  ");
    gln_buffer_add_padded(out, gln_buffer_text(&call), OPTION_COLUMN - 2);
    gln_add_wrapped(out, gln_text(command->summary), OPTION_COLUMN, OPTION_COLUMN, job->app->columns);
    gln_buffer_add_byte(out, '\n');
  }
  gln_buffer_add_byte(out, '\n');
  add_options(job, &gln_command_none, out);
  gln_buffer_add_string(out,
                        "\ngripline COMMAND --help says more about a command.\n"
                        "Exit status: 0 done, 1 the answer is no, 2 bad usage, 3 bad input, 4 failure of\n"
                        "the system.\n");
}

void gln_add_help(const GlnJob *job, const GlnCommand *command, GlnBuffer *out) {
  if (command == &gln_command_none)
    add_program_help(job, out);
  else
    add_command_help(job, command, out);
}
