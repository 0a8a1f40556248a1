#include "viewer/command/verb_notes.h"

#include <algorithm>

#include <CLI/CLI.hpp>

#include "shared/base/text.h"

namespace leeward::command {
namespace {

OptionNote noteOf(const CLI::Option& option) {
  OptionNote note;
  note.is_positional = option.get_positional();
  note.is_required = option.get_required();
  note.about = option.get_description();
  note.starting = option.get_default_str();
  if (note.is_positional) note.names.push_back(option.get_name(true));
  for (const auto& name : option.get_snames()) note.names.push_back("-" + name);
  for (const auto& name : option.get_lnames()) note.names.push_back("--" + name);
  if (option.get_type_size() == 0) return note;  // a flag
  const std::string type = option.get_type_name();  // "TEXT:{a,b}" where only a and b are taken
  const auto open = type.find('{'), close = type.rfind('}');
  note.value = type.substr(0, type.find(':') < open ? std::min(type.find(':'), type.size()) : open);
  if (option.get_type_name().starts_with("area|points")) note.value = type;
  if (open != std::string::npos && close != std::string::npos) {
    for (const auto choice : split(std::string_view(type).substr(open + 1, close - open - 1), ',')) note.choices.emplace_back(choice);
    note.value = join(note.choices, "|");
  }
  return note;
}

}  // namespace

std::vector<VerbNote> verbNotes(const CLI::App& app) {
  std::vector<VerbNote> notes;
  for (const CLI::App* verb : app.get_subcommands([](const CLI::App* one) { return !one->get_group().empty(); })) {
    const std::string footer = verb->get_footer() == app.get_footer() ? "" : verb->get_footer();  // verbs without one get the program's
    VerbNote note{verb->get_name(), verb->get_description(), footer, verb->get_group(), {}};
    for (const CLI::Option* option : verb->get_options()) note.options.push_back(noteOf(*option));
    std::ranges::stable_partition(note.options, &OptionNote::is_positional);
    notes.push_back(std::move(note));
  }
  return notes;
}

}  // namespace leeward::command
