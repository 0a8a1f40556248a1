#pragma once
/// What every verb shares: where text goes, how progress is shown, how a problem ends the program.
#include <cstdint>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include <CLI/CLI.hpp>

#include "shared/base/dates.h"
#include "shared/base/progress.h"
#include "shared/layer/layer.h"
#include "shared/table/row_report.h"

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
  /// What a verb made of rows: to -o (by extension), as CSV on standard output, or with --json as
  /// {"rows": [...], "remarks": [...], "refused": n, ...}; points get columns lon and lat (x and y in plane metres) in all three. The
  /// layer's remarks and the refused rows are said; with -o the latter are listed in OUT-refused.csv beside it.
  struct Delivery {
    bool owner_only = false;          ///< the file holds client data and gets mode 0600
    std::vector<RefusedRow> refused;  ///< rows that got no answer
    std::string members;              ///< further members of the JSON object: "\"limits\":[1,2]"
  };
  void deliver(const Layer& layer, const Delivery& more);
  void deliver(const Layer& layer) { deliver(layer, Delivery()); }
  void remark(const std::string& sentence) const { say("Note: " + sentence); }
  /// "N rows were refused; they are listed in FILE" and, with --strict, exit status 3.
  void refused(std::size_t count, const std::string& report_path);

 private:
  /// The first rows without an answer, for a person; with --strict exit status 3.
  void listRefused(const std::vector<RefusedRow>& rows);
};

/// Adds the options that every verb takes to a verb; seed, level and strict only where they mean something.
struct Takes {
  bool seed = false;    ///< it draws random numbers
  bool level = false;   ///< it gives intervals
  bool strict = false;  ///< it can refuse rows
};
void addCommonOptions(CLI::App& verb, Terminal& terminal, Takes takes = {});

/// Endings that -o may have: rows with or without places, rows alone.
inline const std::vector<std::string> kLayerEndings = {".csv", ".gpkg", ".geojson", ".fgb", ".xlsx"};
inline const std::vector<std::string> kTableEndings = {".csv", ".xlsx"};
/// Adds -o OUT. Its ending and its folder are looked at before the verb begins its work: exit status 2 for an ending that isn't in the
/// list, 4 for a folder that isn't there or may not be written.
CLI::Option* addOutput(CLI::App& verb, Terminal& terminal, const std::vector<std::string>& endings, const std::string& more = "");
/// Adds the three options that say where a table's points are.
void addPointColumns(CLI::App& verb, LayerRequest& points);
/// Adds an option that takes a day.
CLI::Option* addDay(CLI::App& verb, const std::string& name, std::optional<Date>& day, const std::string& about);
/// A coordinate reference system that PROJ knows, or local.
CLI::Validator crsText();
/// A number from `least` (`above`: more than it) to `most`; not a number is none.
CLI::Validator numberFrom(double least, double most, bool above = false);
/// Stops on the first Ctrl-C (or TERM) by the stop token; ends at once on the second.
void catchSignals();
std::stop_token stopToken();
/// A table as a JSON array of objects; numbers stay numbers, missing values are null.
std::string tableAsJson(const Table& table);
/// {"problem": {"what", "where", "mend"}} as one line.
std::string problemAsJson(const Problem& problem);
/// A JSON string with its quotes.
std::string jsonText(std::string_view text);

}  // namespace leeward::command
