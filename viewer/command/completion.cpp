#include <string_view>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/command/manual.h"
#include "viewer/command/verb_notes.h"

namespace leeward::command {
namespace {

/// Inside single quotes of a shell.
std::string shellQuoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'') out += "'\\''";
    else out += c == '\n' ? ' ' : c;
  }
  return out + "'";
}

std::string allNames(const VerbNote& verb) {
  std::string names;
  for (const auto& option : verb.options) {
    if (!option.is_positional) names += (names.empty() ? "" : " ") + join(option.names, " ");
  }
  return names;
}

/// Cases over verb and option, or verb and place, that offer a fixed choice.
std::string bashChoices(const std::vector<VerbNote>& verbs) {
  std::string cases;
  for (const auto& verb : verbs) {
    int place = 0;
    for (const auto& option : verb.options) {
      const std::string by_place = option.is_positional ? std::to_string(place++) : "";
      if (option.choices.empty()) continue;
      const std::string words = join(option.choices, " ");
      if (option.is_positional) cases += fmt::format("    '{} {}') choices='{}' ;;\n", verb.name, by_place, words);
      for (const auto& name : option.names) {
        if (!option.is_positional) cases += fmt::format("    '{} {}') choices='{}' ;;\n", verb.name, name, words);
      }
    }
  }
  return cases;
}

std::string bashScript(const std::vector<VerbNote>& verbs) {
  std::string names, options, valued;
  for (const auto& verb : verbs) {
    names += (names.empty() ? "" : " ") + verb.name;
    options += fmt::format("    {}) options='{}' ;;\n", verb.name, allNames(verb));
    for (const auto& option : verb.options) {
      if (!option.is_positional && !option.value.empty()) valued += (valued.empty() ? "" : "|") + join(option.names, "|");
    }
  }
  return fmt::format(R"(# bash completion for leeward, made by the program from its own verbs.
_leeward() {{
  local current=${{COMP_WORDS[COMP_CWORD]}} previous=${{COMP_WORDS[COMP_CWORD-1]}} verb=${{COMP_WORDS[1]}} options='' choices='' place=0 i
  COMPREPLY=()
  if ((COMP_CWORD == 1)); then
    COMPREPLY=($(compgen -W '{} --help --version' -- "$current"))
    return
  fi
  case $verb in
{}  esac
  if [[ $current == -* ]]; then
    COMPREPLY=($(compgen -W "$options" -- "$current"))
    return
  fi
  for ((i = 2; i < COMP_CWORD; i++)); do
    case ${{COMP_WORDS[i]}} in
      {}) ((i++)) ;;
      -*) ;;
      *) ((place++)) ;;
    esac
  done
  [[ $previous == -* ]] || previous=$place
  case "$verb $previous" in
{}  esac
  [[ -z $choices ]] || COMPREPLY=($(compgen -W "$choices" -- "$current"))
}}
complete -o bashdefault -o default -F _leeward leeward
)", names, options, valued, bashChoices(verbs));
}

/// A description inside the brackets of zsh's _arguments.
std::string zshText(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '[' || c == ']' || c == ':' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

std::string zshScript(const std::vector<VerbNote>& verbs) {
  std::string list, cases;
  for (const auto& verb : verbs) {
    list += "    " + shellQuoted(zshText(verb.name) + ":" + verb.about) + "\n";
    cases += fmt::format("    {})\n      _arguments", verb.name);
    for (const auto& option : verb.options) {
      const std::string action = option.choices.empty() ? ":_files" : ":(" + join(option.choices, " ") + ")";
      if (option.is_positional) {
        cases += " \\\n        " + shellQuoted(":" + zshText(option.names[0]) + action);
        continue;
      }
      for (const auto& name : option.names) {
        cases += " \\\n        " + shellQuoted(name + "[" + zshText(option.about) + "]" + (option.value.empty() ? "" : ":" + zshText(option.value) + action));
      }
    }
    cases += " \\\n        '*:file:_files' ;;\n";
  }
  return "#compdef leeward\n# zsh completion for leeward, made by the program from its own verbs.\n_leeward() {\n  local -a verbs\n  verbs=(\n" + list +
         "  )\n  if (( CURRENT == 2 )); then\n    _describe 'verb' verbs\n    return\n  fi\n  local verb=$words[2]\n  shift words\n  (( CURRENT-- ))\n  case $verb in\n" + cases +
         "  esac\n}\n_leeward \"$@\"\n";
}

std::string fishScript(const std::vector<VerbNote>& verbs) {
  std::string script = "# fish completion for leeward, made by the program from its own verbs.\ncomplete -c leeward -n __fish_use_subcommand -l help -d 'Tell more'\n"
                       "complete -c leeward -n __fish_use_subcommand -l version -d 'Which version this is'\n";
  for (const auto& verb : verbs) {
    script += fmt::format("complete -c leeward -n __fish_use_subcommand -a {} -d {}\n", verb.name, shellQuoted(verb.about));
    const std::string when = shellQuoted("__fish_seen_subcommand_from " + verb.name);
    for (const auto& option : verb.options) {
      const std::string choices = option.choices.empty() ? "" : " -a " + shellQuoted(join(option.choices, " "));
      if (option.is_positional) {
        if (!choices.empty()) script += fmt::format("complete -c leeward -n {}{} -d {}\n", when, choices, shellQuoted(option.names[0]));
        continue;
      }
      std::string names;
      for (const auto& name : option.names) names += name.starts_with("--") ? " -l " + name.substr(2) : " -s " + name.substr(1);
      script += fmt::format("complete -c leeward -n {}{}{}{} -d {}\n", when, names, option.value.empty() ? "" : choices.empty() ? " -r" : " -x", choices, shellQuoted(option.about));
    }
  }
  return script;
}

}  // namespace

std::string completionScript(const CLI::App& app, const std::string& shell) {
  const auto verbs = verbNotes(app);
  if (shell == "bash") return bashScript(verbs);
  if (shell == "zsh") return zshScript(verbs);
  return shell == "fish" ? fishScript(verbs) : "";
}

}  // namespace leeward::command
