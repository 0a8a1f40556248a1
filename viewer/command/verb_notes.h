#pragma once
/// What the command line says of itself, as plain data.
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace leeward::command {

struct OptionNote {
  std::vector<std::string> names;    ///< "--by", "-o"; for a positional one its name
  std::string value;                 ///< "COLUMN"; "" for a flag
  std::string about;
  std::string starting;              ///< the value without it; "" if there is none
  std::vector<std::string> choices;  ///< if only these are taken
  bool is_positional = false;
  bool is_required = false;
};

struct VerbNote {
  std::string name, about, footer, group;
  std::vector<OptionNote> options;  ///< in the order of the help, positional ones first
};

/// All verbs that the help shows, in its order.
std::vector<VerbNote> verbNotes(const CLI::App& app);

}  // namespace leeward::command
