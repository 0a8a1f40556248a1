#pragma once
/// What every verb shares: where text goes, how progress is shown, how a problem ends the program.
#include <cstdint>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>

#include <CLI/CLI.hpp>

#include "shared/base/progress.h"
#include "shared/layer/layer.h"

namespace leeward::command {

class Terminal {
 public:
  // Options that every verb takes.
  bool json = false;
  bool quiet = false;
  bool strict = false;      ///< any refused row makes the exit status 3
  unsigned threads = 0;     ///< 0 = all cores
  std::uint64_t seed = 1;
  double level = 0.90;
  std::string output;       ///< -o; "" = standard output

  int status = 0;           ///< what the program will exit with

  /// A progress that draws a bar on a terminal, prints lines elsewhere, nothing with --quiet; stops on Ctrl-C.
  Progress progress() const;
  /// One line to standard error, unless --quiet.
  void say(std::string_view line) const;
  /// Data to standard output, as it is.
  /// Output that can't be taken (a full disk) makes the exit status 4; a reader that left early does not.
  void print(std::string_view text);
  /// Shows the problem and sets the exit status.
  void fail(const Problem& problem);
  /// The bare-file verbs' result: to -o (by extension), as CSV, or with --json as {"rows": [...]}.
  /// owner_only: the file holds client data and gets mode 0600.
  void deliver(const Layer& layer, bool owner_only = false);
  /// "N rows were refused; they are listed in FILE" and, with --strict, exit status 3.
  void refused(std::size_t count, const std::string& report_path);
};

/// Adds the options that every verb takes to a verb; seed and level only where they mean something.
void addCommonOptions(CLI::App& verb, Terminal& terminal, bool draws = false, bool intervals = false);
/// Stops on the first Ctrl-C (or TERM) by the stop token; ends at once on the second.
void catchSignals();
std::stop_token stopToken();
/// A table as a JSON array of objects; numbers stay numbers, missing values are null.
std::string tableAsJson(const Table& table);
/// A JSON string with its quotes.
std::string jsonText(std::string_view text);

}  // namespace leeward::command
