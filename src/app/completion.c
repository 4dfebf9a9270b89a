/* Completion scripts, from the table. */
#include "app_internal.h"

static void add_words(GlnBuffer *out, const GlnOption *option) {
  for (size_t n = 0; gln_option_word(option, n).length > 0; n++) {
    gln_buffer_add_string(out, n > 0 ? " " : "");
    gln_buffer_add(out, gln_option_word(option, n));
  }
}

static void add_command_names(GlnBuffer *out) {
  for (size_t i = 0; i < gln_command_count(); i++)
    gln_buffer_format(out, "%s%s", i > 0 ? " " : "", gln_command_at(i)->name);
}

static void add_option_names(GlnBuffer *out, const GlnCommand *command) {
  for (size_t i = 0; i < command->option_count; i++)
    gln_buffer_format(out, "%s--%s", i > 0 ? " " : "", gln_option_at(command->options[i])->name);
}

/* ---- bash ------------------------------------------------------------------------------------------------------ */

static void add_bash_values(GlnBuffer *out) {
  gln_buffer_add_string(out, "  case $before in\n");
  for (size_t id = 0; id < GLN_OPTION_COUNT; id++) {
    const GlnOption *option = gln_option_at((GlnOptionId)id);
    if (option->kind == GLN_OPTION_FLAG)
      continue;
    gln_buffer_format(out, "  --%s", option->name);
    if (option->letter != 0)
      gln_buffer_format(out, "|-%c", option->letter);
    gln_buffer_add_string(out, ") ");
    if (gln_option_has_words(option)) {
      gln_buffer_add_string(out, "COMPREPLY=($(compgen -W '");
      add_words(out, option);
      gln_buffer_add_string(out, "' -- \"$word\"))");
    } else if (option->kind == GLN_OPTION_FILE) {
      gln_buffer_add_string(out, "compopt -o filenames; COMPREPLY=($(compgen -f -- \"$word\"))");
    }
    bool helps = gln_option_has_words(option) || option->kind == GLN_OPTION_FILE;
    gln_buffer_add_string(out, helps ? "; return ;;\n" : "return ;;\n");
  }
  gln_buffer_add_string(out, "  esac\n");
}

static void add_bash(GlnBuffer *out) {
  gln_buffer_add_string(out,
                        "# bash completion of gripline, made by gripline --completion bash\n"
                        "_gripline() {\n"
                        "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options=\n"
                        "  COMPREPLY=()\n");
  add_bash_values(out);
  gln_buffer_add_string(out, "  case ${COMP_WORDS[1]} in\n");
  for (size_t i = 0; i < gln_command_count(); i++) {
    gln_buffer_format(out, "  %s) options='", gln_command_at(i)->name);
    add_option_names(out, gln_command_at(i));
    gln_buffer_add_string(out, "' ;;\n");
  }
  gln_buffer_add_string(out, "  *) options='");
  add_option_names(out, &gln_command_none);
  gln_buffer_add_string(out, "' ;;\n  esac\n"
                             "  if [[ $word == -* ]]; then\n"
                             "    COMPREPLY=($(compgen -W \"$options\" -- \"$word\"))\n"
                             "  elif ((COMP_CWORD == 1)); then\n"
                             "    COMPREPLY=($(compgen -W '");
  add_command_names(out);
  gln_buffer_add_string(out, "' -- \"$word\"))\n"
                             "  else\n"
                             "    compopt -o filenames\n"
                             "    COMPREPLY=($(compgen -f -- \"$word\"))\n"
                             "  fi\n"
                             "}\n"
                             "complete -F _gripline gripline\n");
}

/* ---- zsh ------------------------------------------------------------------------------------------------------- */

/* Inside a zsh specification [ ] : have meanings, and the whole stands between single quotes. */
static void add_zsh_words(GlnBuffer *out, const char *words) {
  for (const char *c = words; *c != '\0'; c++) {
    if (*c == '\'')
      gln_buffer_add_string(out, "'\\''");
    else if (*c == '[' || *c == ']' || *c == ':' || *c == '\\')
      gln_buffer_format(out, "\\%c", *c);
    else
      gln_buffer_add_byte(out, *c);
  }
}

static void add_zsh_option(GlnBuffer *out, const GlnOption *option) {
  gln_buffer_format(out, " \\\n      '--%s[", option->name);
  add_zsh_words(out, option->summary);
  gln_buffer_add_byte(out, ']');
  if (option->kind != GLN_OPTION_FLAG) {
    gln_buffer_add_byte(out, ':');
    add_zsh_words(out, option->name);
    gln_buffer_add_byte(out, ':');
  }
  if (gln_option_has_words(option)) {
    gln_buffer_add_byte(out, '(');
    add_words(out, option);
    gln_buffer_add_byte(out, ')');
  } else if (option->kind == GLN_OPTION_FILE) {
    gln_buffer_add_string(out, "_files");
  }
  gln_buffer_add_byte(out, '\'');
}

static void add_zsh(GlnBuffer *out) {
  gln_buffer_add_string(out, "#compdef gripline\n"
                             "# zsh completion of gripline, made by gripline --completion zsh\n"
                             "if ((CURRENT == 2)) && [[ $words[2] != -* ]]; then\n"
                             "  local -a commands=(");
  for (size_t i = 0; i < gln_command_count(); i++) {
    gln_buffer_format(out, "\n    '%s:", gln_command_at(i)->name);
    add_zsh_words(out, gln_command_at(i)->summary);
    gln_buffer_add_byte(out, '\'');
  }
  gln_buffer_add_string(out, ")\n  _describe command commands\n  return\nfi\ncase $words[2] in\n");
  for (size_t i = 0; i <= gln_command_count(); i++) {
    const GlnCommand *command = i < gln_command_count() ? gln_command_at(i) : &gln_command_none;
    gln_buffer_format(out, "  %s)\n    ", command == &gln_command_none ? "*" : command->name);
    gln_buffer_add_string(out, command == &gln_command_none ? "" : "shift words; ((CURRENT--))\n    ");
    gln_buffer_add_string(out, "_arguments");
    for (size_t k = 0; k < command->option_count; k++)
      add_zsh_option(out, gln_option_at(command->options[k]));
    if (command != &gln_command_none)
      gln_buffer_format(out, " \\\n      '1:%s:_files'", command->operand);
    gln_buffer_add_string(out, " ;;\n");
  }
  gln_buffer_add_string(out, "esac\n");
}

/* ---- fish ------------------------------------------------------------------------------------------------------ */

static void add_fish_words(GlnBuffer *out, const char *words) {
  gln_buffer_add_byte(out, '\'');
  for (const char *c = words; *c != '\0'; c++) {
    if (*c == '\'' || *c == '\\')
      gln_buffer_add_byte(out, '\\');
    gln_buffer_add_byte(out, *c);
  }
  gln_buffer_add_byte(out, '\'');
}

static void add_fish_options(GlnBuffer *out, const GlnCommand *command) {
  for (size_t k = 0; k < command->option_count; k++) {
    const GlnOption *option = gln_option_at(command->options[k]);
    gln_buffer_add_string(out, "complete -c gripline -n ");
    if (command == &gln_command_none)
      gln_buffer_add_string(out, "__fish_use_subcommand");
    else
      gln_buffer_format(out, "'__fish_seen_subcommand_from %s'", command->name);
    gln_buffer_format(out, " -l %s", option->name);
    if (option->letter != 0)
      gln_buffer_format(out, " -s %c", option->letter);
    if (option->kind == GLN_OPTION_FILE)
      gln_buffer_add_string(out, " -r -F");
    else if (gln_option_has_words(option)) {
      gln_buffer_add_string(out, " -x -a '");
      add_words(out, option);
      gln_buffer_add_byte(out, '\'');
    } else if (option->kind != GLN_OPTION_FLAG) {
      gln_buffer_add_string(out, " -x");
    }
    gln_buffer_add_string(out, " -d ");
    add_fish_words(out, option->summary);
    gln_buffer_add_byte(out, '\n');
  }
}

static void add_fish(GlnBuffer *out) {
  gln_buffer_add_string(out, "# fish completion of gripline, made by gripline --completion fish\n");
  for (size_t i = 0; i < gln_command_count(); i++) {
    gln_buffer_format(out, "complete -c gripline -n __fish_use_subcommand -f -a %s -d ",
                      gln_command_at(i)->name);
    add_fish_words(out, gln_command_at(i)->summary);
    gln_buffer_add_byte(out, '\n');
  }
  add_fish_options(out, &gln_command_none);
  for (size_t i = 0; i < gln_command_count(); i++)
    add_fish_options(out, gln_command_at(i));
}

/* The shells in the order of the words of --completion. */
void gln_add_completion(size_t shell, GlnBuffer *out) {
  static void (*const add[])(GlnBuffer *) = {add_bash, add_zsh, add_fish};
  add[shell](out);
}
