/* The call on the command line, read against the table. */
#include "app_internal.h"

#include <getopt.h>
#include <string.h>

/* A word as far off as this from a known one is taken for a slip of the fingers. Design choice. */
#define SLIP_MAX 2

static void keep_nearest(GlnText typed, const char *known, const char **nearest, size_t *distance) {
  size_t d = gln_text_distance(typed, gln_text(known));
  if (d < *distance) {
    *distance = d;
    *nearest = known;
  }
}

static size_t slip_limit(GlnText typed) {
  return typed.length > 4 ? SLIP_MAX + 1 : 2;
}

static GlnStatus complain_of_command(const GlnJob *job, const char *typed) {
  GlnText text = gln_text(typed);
  size_t distance = slip_limit(text);
  const char *nearest = NULL;
  for (size_t i = 0; i < gln_command_count(); i++)
    keep_nearest(text, gln_command_at(i)->name, &nearest, &distance);
  if (nearest != NULL)
    return gln_job_complain(job, GLN_USAGE, "", "there is no command \"%s\"; did you mean %s?", typed,
                            nearest);
  for (size_t i = 0; i < gln_command_none.option_count; i++)
    keep_nearest(text, gln_option_at(gln_command_none.options[i])->name, &nearest, &distance);
  if (nearest != NULL)
    return gln_job_complain(job, GLN_USAGE, "", "there is no command \"%s\"; did you mean --%s?", typed,
                            nearest);
  return gln_job_complain(job, GLN_USAGE, "see gripline --help for those there are",
                          "there is no command \"%s\"", typed);
}

/* "gripline arrange --help", or "gripline --help" outside a command. */
static const char *help_call(const GlnJob *job) {
  const GlnCommand *command = job->arguments.command;
  GlnBuffer call = gln_buffer(job->arena);
  gln_buffer_add_string(&call, "see gripline ");
  if (command != &gln_command_none)
    gln_buffer_format(&call, "%s ", command->name);
  gln_buffer_add_string(&call, "--help");
  const char *text = gln_text_copy(job->arena, gln_buffer_text(&call));
  return text != NULL ? text : "see gripline --help";
}

static GlnStatus complain_of_option(const GlnJob *job, const char *typed) {
  const GlnCommand *command = job->arguments.command;
  GlnText word = gln_text(typed);
  word = gln_text_slice(word, 0, gln_text_find(word, GLN_TEXT("="), 0));
  while (gln_text_starts(word, GLN_TEXT("-")))
    word = gln_text_from(word, 1);
  size_t distance = slip_limit(word);
  const char *nearest = NULL;
  for (size_t i = 0; i < command->option_count; i++)
    keep_nearest(word, gln_option_at(command->options[i])->name, &nearest, &distance);
  if (nearest != NULL && strncmp(typed, "--", 2) == 0)
    return gln_job_complain(job, GLN_USAGE, "", "there is no option %s here; did you mean --%s?", typed,
                            nearest);
  return gln_job_complain(job, GLN_USAGE, help_call(job), "there is no option %s here", typed);
}

/* ---- values ------------------------------------------------------------------------------------------------- */

static bool find_word(const GlnOption *option, GlnText typed, size_t *choice) {
  for (size_t n = 0;; n++) {
    GlnText word = gln_option_word(option, n);
    if (word.length == 0)
      return false;
    if (gln_text_equal(word, typed)) {
      *choice = n;
      return true;
    }
  }
}

static GlnStatus complain_of_word(const GlnJob *job, const GlnOption *option, GlnText typed) {
  GlnBuffer advice = gln_buffer(job->arena);
  gln_buffer_add_string(&advice, option->kind == GLN_OPTION_ONE_OF ? "choose one of " : "choose from ");
  for (size_t n = 0; gln_option_word(option, n).length > 0; n++) {
    gln_buffer_add_string(&advice, n > 0 ? ", " : "");
    gln_buffer_add(&advice, gln_option_word(option, n));
  }
  const char *words = gln_text_copy(job->arena, gln_buffer_text(&advice));
  return gln_job_complain(job, GLN_USAGE, words != NULL ? words : "", "--%s does not know \"%.*s\"",
                          option->name, (int)typed.length, typed.at);
}

static GlnStatus read_words(const GlnJob *job, const GlnOption *option, GlnValue *value) {
  GlnText rest = value->text;
  for (;;) {
    size_t end = gln_text_find(rest, GLN_TEXT(","), 0);
    GlnText word = gln_text_trim(gln_text_slice(rest, 0, end));
    size_t choice = 0;
    if (!find_word(option, word, &choice))
      return complain_of_word(job, option, word);
    value->choices |= (uint32_t)1 << choice;
    if (end == rest.length)
      return GLN_OK;
    rest = gln_text_from(rest, end + 1);
  }
}

static GlnStatus read_number(const GlnJob *job, const GlnOption *option, GlnValue *value) {
  bool whole = option->kind == GLN_OPTION_INTEGER;
  long integer = 0;
  GlnStatus status = whole ? gln_text_integer(value->text, (long)option->low, (long)option->high, &integer)
                           : gln_text_number(value->text, &value->number);
  if (whole)
    value->number = (double)integer;
  if (status == GLN_OK && value->number >= option->low && value->number <= option->high)
    return GLN_OK;
  return gln_job_complain(job, GLN_USAGE, "", "--%s \"%.*s\" is not a %snumber from %d to %d", option->name,
                          (int)value->text.length, value->text.at, whole ? "whole " : "", (int)option->low,
                          (int)option->high);
}

static GlnStatus read_value(const GlnJob *job, const GlnOption *option, GlnValue *value) {
  switch (option->kind) {
  case GLN_OPTION_FLAG:
  case GLN_OPTION_TEXT:
  case GLN_OPTION_PAIR:
    return GLN_OK;
  case GLN_OPTION_FILE:
    if (value->text.length == 0)
      return gln_job_complain(job, GLN_USAGE, "give a file name, or - for standard output", "--%s is empty",
                              option->name);
    return GLN_OK;
  case GLN_OPTION_ONE_OF:
    return find_word(option, value->text, &value->choice) ? GLN_OK
                                                          : complain_of_word(job, option, value->text);
  case GLN_OPTION_SOME_OF:
    return read_words(job, option, value);
  case GLN_OPTION_INTEGER:
  case GLN_OPTION_NUMBER:
    return read_number(job, option, value);
  }
  return GLN_OK;
}

/* ---- getopt_long over the table ---------------------------------------------------------------------------------- */

#define LETTER_BASE 256 /* option ids start past the letters, so that optopt tells the two apart */

typedef struct Syntax {
  struct option longs[GLN_OPTION_COUNT + 1];
  char letters[2 * GLN_OPTION_COUNT + 2];
} Syntax;

static Syntax make_syntax(const GlnCommand *command) {
  Syntax syntax = {.letters = ":"};
  size_t letter = 1;
  for (size_t i = 0; i < command->option_count; i++) {
    const GlnOption *option = gln_option_at(command->options[i]);
    int takes = option->kind == GLN_OPTION_FLAG ? no_argument : required_argument;
    syntax.longs[i] = (struct option){option->name, takes, NULL, LETTER_BASE + (int)command->options[i]};
    if (option->letter == 0)
      continue;
    syntax.letters[letter++] = option->letter;
    if (takes == required_argument)
      syntax.letters[letter++] = ':';
  }
  return syntax;
}

static int option_of(const GlnCommand *command, int code) {
  if (code >= LETTER_BASE)
    return code - LETTER_BASE;
  for (size_t i = 0; i < command->option_count; i++)
    if (gln_option_at(command->options[i])->letter == code)
      return (int)command->options[i];
  return -1;
}

static GlnStatus complain_of_syntax(const GlnJob *job, int code, int unread, const char *typed) {
  int id = unread != 0 ? option_of(job->arguments.command, unread) : -1;
  if (id < 0 && unread > 0 && unread < LETTER_BASE) {
    const char letter[] = {'-', (char)unread, '\0'};
    return complain_of_option(job, letter);
  }
  if (code == ':' && id >= 0) {
    const GlnOption *option = gln_option_at((GlnOptionId)id);
    return gln_job_complain(job, GLN_USAGE, "", "%s needs a value: %s", typed, option->values);
  }
  if (id >= 0)
    return gln_job_complain(job, GLN_USAGE, "", "--%s takes no value", gln_option_at((GlnOptionId)id)->name);
  return complain_of_option(job, typed);
}

/* The word after the first value, which getopt_long knows nothing of, is stepped over. */
static GlnStatus take_second(const GlnJob *job, const GlnOption *option, int argc, char **argv,
                             GlnValue *value) {
  if (optind >= argc || argv[optind][0] == '-')
    return gln_job_complain(job, GLN_USAGE, "", "--%s needs two values: %s", option->name, option->values);
  value->second = gln_text(argv[optind++]);
  return GLN_OK;
}

static GlnStatus read_options(GlnJob *job, int argc, char **argv) {
  GlnArguments *arguments = &job->arguments;
  const Syntax syntax = make_syntax(arguments->command);
  optind = 0; /* 0, not 1: starts afresh, the order of words included */
  opterr = 0;
  for (;;) {
    /* Where a fault lies: a letter's word is still current, a long option's has been stepped over. */
    int code = getopt_long(argc, argv, syntax.letters, syntax.longs, NULL);
    if (code == -1)
      return GLN_OK;
    const char *typed = argv[optind > 1 ? optind - 1 : 1];
    if (code == '?' || code == ':')
      return complain_of_syntax(job, code, optopt, typed);
    GlnOptionId id = (GlnOptionId)option_of(arguments->command, code);
    const GlnOption *option = gln_option_at(id);
    GlnValue *value = &arguments->value[id];
    if (value->given)
      return gln_job_complain(job, GLN_USAGE, "give it once", "--%s is given twice", option->name);
    *value = (GlnValue){.given = true, .text = gln_text(optarg)};
    if (option->kind == GLN_OPTION_PAIR)
      GLN_TRY(take_second(job, option, argc, argv, value));
    GLN_TRY(read_value(job, option, value));
  }
}

static GlnStatus read_operand(GlnJob *job, int argc, char **argv) {
  GlnArguments *arguments = &job->arguments;
  const GlnCommand *command = arguments->command;
  bool asks_help = arguments->value[GLN_OPT_HELP].given;
  bool given_by_option = arguments->value[GLN_OPT_NOTES].given || arguments->value[GLN_OPT_LINE].given ||
                         arguments->value[GLN_OPT_CHORD].given;
  const char *blank = strchr(command->operand, ' ');
  int wanted = blank != NULL ? 2 : 1;
  bool takes_many = strchr(command->operand, '.') != NULL;
  bool may_lack = command->operand[0] == '[';
  if (argc - optind < wanted && !may_lack && !asks_help && !given_by_option)
    return gln_job_complain(job, GLN_USAGE, help_call(job), "%s needs %s%s", command->name,
                            blank != NULL ? "" : "a ", command->operand);
  if (argc - optind > wanted && !takes_many && !asks_help)
    return gln_job_complain(job, GLN_USAGE,
                            strcmp(command->operand, "FILE") != 0 ? "put quotes around what has blanks in it"
                                                                  : "",
                            "%s takes %s%s, and \"%s\" is one more", command->name,
                            blank != NULL ? "" : "one ", command->operand, argv[optind + wanted]);
  arguments->operand = optind < argc ? argv[optind] : NULL;
  arguments->operands = argv + optind;
  arguments->operand_count = optind < argc ? (size_t)(argc - optind) : 0;
  arguments->second = optind + 1 < argc ? argv[optind + 1] : NULL;
  return GLN_OK;
}

GlnStatus gln_arguments_read(GlnJob *job, int argc, char *const argv[]) {
  GlnArguments *arguments = &job->arguments;
  *arguments = (GlnArguments){.command = &gln_command_none};
  if (argc < 2)
    return gln_job_complain(job, GLN_USAGE, "see gripline --help", "say what to do, for example: %s",
                            gln_command_at(0)->example);
  /* getopt_long reorders the words, so it gets an array of its own. */
  char **words = GLN_NEW(job->arena, char *, (size_t)argc + 1);
  if (words == NULL)
    return GLN_MEMORY;
  bool has_command = argv[1][0] != '-' || argv[1][1] == '\0';
  if (has_command) {
    arguments->command = gln_command_find(gln_text(argv[1]));
    if (arguments->command == NULL) {
      arguments->command = &gln_command_none;
      return complain_of_command(job, argv[1]);
    }
  }
  int skipped = has_command ? 1 : 0;
  int count = argc - skipped;
  for (int i = 0; i < count; i++)
    words[i] = argv[i + skipped];
  GLN_TRY(read_options(job, count, words));
  if (has_command)
    return read_operand(job, count, words);
  if (optind < count && !arguments->value[GLN_OPT_HELP].given)
    return gln_job_complain(job, GLN_USAGE, "the command comes first: gripline COMMAND [OPTIONS] FILE",
                            "\"%s\" is out of place", words[optind]);
  return GLN_OK;
}
