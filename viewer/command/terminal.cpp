#include "viewer/command/terminal.h"

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <memory>
#include <set>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"
#include "viewer/sheets/workbook.h"
#include "viewer/study/made_files.h"
#include "viewer/study/refused_list.h"

namespace leeward::command {
namespace {

std::stop_source& stopSource() {
  static std::stop_source source;
  return source;
}

std::atomic<int> signals{0};

void showBar(double fraction, std::string_view message) {
  constexpr int kWidth = 24;
  const int filled = static_cast<int>(fraction * kWidth);
  std::string bar(static_cast<std::size_t>(filled), '=');
  bar.resize(kWidth, ' ');
  std::fprintf(stderr, "\r[%s] %3.0f %%  %-48.48s", bar.c_str(), fraction * 100, std::string(message).c_str());
  if (fraction >= 1) std::fprintf(stderr, "\r%*s\r", 86, "");
  std::fflush(stderr);
}

Result<void> checkOutput(const std::string& output, const std::vector<std::string>& endings) {
  const std::filesystem::path file(output);
  const std::string ending = lowerAscii(file.extension().string());
  if (std::ranges::find(endings, ending) == endings.end()) {
    return Problem{ProblemCode::InvalidArgument, ending.empty() ? "the output has no ending that says its kind" : fmt::format("\"{}\" can't be written here", ending), output,
                   "Choose " + join(endings, ", ")};
  }
  std::error_code error;
  const auto folder = file.has_parent_path() ? file.parent_path() : std::filesystem::path(".");
  if (std::filesystem::is_directory(file, error)) return Problem{ProblemCode::InvalidArgument, "this is a folder", output, "Name a file in it"};
  if (!std::filesystem::is_directory(folder, error) || access(folder.c_str(), W_OK | X_OK) != 0) {
    return Problem{ProblemCode::Io, fmt::format("nothing can be written there ({})", std::strerror(errno)), output, "Check that the folder exists and may be written"};
  }
  return study::mayHoldPrivate(file);
}

Result<void> writeRows(const Layer& layer, const std::string& file, bool owner_only, Progress& progress) {
  if (lowerAscii(std::filesystem::path(file).extension().string()) != ".xlsx") return writeLayer(layer, file, progress, owner_only);
  LEEWARD_ASSIGN(table, tableWithPlaces(layer));
  return sheets::writeTableWorkbook(table, layer.name, file, owner_only, progress);
}

}  // namespace

void catchSignals() {
  // The handler only sets an atomic; a watcher thread asks for the stop, since request_stop is not safe in a handler.
  stopSource();
  const auto handler = [](int) {
    if (signals.fetch_add(1) > 0) _exit(130);
  };
  std::signal(SIGINT, handler);
  std::signal(SIGTERM, handler);
  std::signal(SIGPIPE, SIG_IGN);
  std::thread([] {
    while (signals.load() == 0) std::this_thread::sleep_for(std::chrono::milliseconds(30));
    stopSource().request_stop();
  }).detach();
}

std::stop_token stopToken() { return stopSource().get_token(); }

Progress Terminal::progress() const {
  const unsigned cores = threads != 0 ? threads : std::max(1U, std::thread::hardware_concurrency());
  if (quiet) return {Progress::Sink{}, stopToken(), cores};
  if (isatty(STDERR_FILENO) != 0) return {showBar, stopToken(), cores};
  auto said = std::make_shared<std::set<std::string, std::less<>>>();  // each thing once: a log is no bar
  return {[said](double, std::string_view message) {
            if (message.empty() || !said->emplace(message).second) return;
            std::fprintf(stderr, "%.*s\n", static_cast<int>(message.size()), message.data());
          },
          stopToken(), cores};
}

void Terminal::say(std::string_view line) const {
  if (!quiet) std::fprintf(stderr, "%.*s\n", static_cast<int>(line.size()), line.data());
}

void Terminal::print(std::string_view text) {
  errno = 0;
  const bool taken = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  if (taken || errno == EPIPE) return;
  std::fprintf(stderr, "leeward: standard output can't be written (%s)\n", std::strerror(errno));
  status = 4;
}

void Terminal::fail(const Problem& problem) {
  status = exitStatus(problem.code);
  if (json) print(problemAsJson(problem));
  std::fprintf(stderr, "leeward: %s\n", problem.text().c_str());
}

void Terminal::deliver(const Layer& layer, const Delivery& more) {
  for (const auto& sentence : layer.remarks) remark(sentence);
  std::string members = ",\"remarks\":" + nlohmann::json(layer.remarks).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) +
                        ",\"refused\":" + std::to_string(more.refused.size()) + (more.members.empty() ? "" : "," + more.members);
  if (output.empty()) {
    const auto table = tableWithPlaces(layer);
    if (!table) return fail(table.problem());
    print(json ? "{\"rows\":" + tableAsJson(*table) + members + "}\n" : toCsv(*table));
    listRefused(more.refused);
    return;
  }
  auto steps = progress();
  if (auto written = writeRows(layer, output, more.owner_only, steps); !written) return fail(written.problem());
  std::string listed;
  if (!more.refused.empty()) {
    const std::filesystem::path out(output);
    listed = (out.parent_path() / (out.stem().string() + "-refused.csv")).string();
    if (auto written = writeFile(listed, toCsv(study::refusedTable(more.refused)), true); !written) return fail(written.problem());
    members += ",\"refused_file\":" + jsonText(listed);
  }
  if (json) print("{\"output\":" + jsonText(output) + ",\"rows\":" + std::to_string(layer.rows()) + members + "}\n");
  else say(fmt::format("{} {} in {}", layer.rows(), layer.rows() == 1 ? "row" : "rows", output));
  refused(more.refused.size(), listed);
}

void Terminal::listRefused(const std::vector<RefusedRow>& rows) {
  constexpr std::size_t kMostShown = 20;
  if (rows.empty()) return;
  say(fmt::format("{} {} without an answer:", rows.size(), rows.size() == 1 ? "row is" : "rows are"));
  for (std::size_t i = 0; i < std::min(kMostShown, rows.size()); ++i) {
    const auto& row = rows[i];
    say(fmt::format("  row {}{}{}: {}", row.line, row.column.empty() ? "" : ", column " + row.column, row.value.empty() ? "" : ", \"" + row.value + "\"", row.reason));
  }
  if (rows.size() > kMostShown) say(fmt::format("  and {} more (with -o OUT all are listed in OUT-refused.csv)", rows.size() - kMostShown));
  if (strict && status == 0) status = 3;
}

void Terminal::refused(std::size_t count, const std::string& report_path) {
  if (count == 0) return;
  if (report_path.empty()) say(fmt::format("{} {} refused. The study is sealed, so they are listed only where you say: --lists FOLDER, outside the study's folder", count, count == 1 ? "row was" : "rows were"));
  else say(fmt::format("{} {} refused; {} listed with line, column and reason in {}", count, count == 1 ? "row was" : "rows were",
                  count == 1 ? "it is" : "they are", report_path));
  if (strict && status == 0) status = 3;
}

void addCommonOptions(CLI::App& verb, Terminal& terminal, Takes takes) {
  verb.add_flag("--json", terminal.json, "One JSON object on standard output and nothing else");
  verb.add_flag("--quiet", terminal.quiet, "No messages and no progress");
  verb.add_option("--threads", terminal.threads, "How many threads (never changes a result)")->check(CLI::Range(1, 256));
  if (takes.strict) verb.add_flag("--strict", terminal.strict, "Exit status 3 if any row is refused");
  if (takes.seed) verb.add_option("--seed", terminal.seed, "Seed of random draws")->capture_default_str();
  if (takes.level) verb.add_option("--level", terminal.level, "Level of intervals")->check(numberFrom(0.5, 0.999))->capture_default_str();
}

CLI::Option* addOutput(CLI::App& verb, Terminal& terminal, const std::vector<std::string>& endings, const std::string& more) {
  const std::string about = "Output by ending (" + join(endings, " ") + ")" + more;
  auto* option = verb.add_option("-o", terminal.output, about)->type_name("OUT");
  verb.parse_complete_callback([&terminal, endings] {
    if (terminal.output.empty()) return;
    if (auto fits = checkOutput(terminal.output, endings); !fits) {
      terminal.fail(fits.problem());
      throw CLI::RuntimeError(terminal.status);  // ends the parse before the verb begins
    }
  });
  return option;
}

void addPointColumns(CLI::App& verb, LayerRequest& points) {
  verb.add_option("--x", points.x_column, "Column with the x coordinate of a table without places")->type_name("COLUMN");
  verb.add_option("--y", points.y_column, "Column with the y coordinate")->type_name("COLUMN");
  verb.add_option("--crs", points.crs, "Coordinates of a file that doesn't say: EPSG:n, or local for plane metres")->type_name("CRS")->check(crsText());
}

CLI::Validator crsText() {
  return {[](std::string& text) {
            const auto crs = Crs::parse(text);
            return crs ? std::string() : crs.problem().text();
          },
          ""};
}

CLI::Option* addDay(CLI::App& verb, const std::string& name, std::optional<Date>& day, const std::string& about) {
  const auto take = [&day](const std::string& text) {
    day = parseIsoDate(text);
    return day.has_value();
  };
  return verb.add_option_function<std::string>(name, [take, name](const std::string& text) {
               if (!take(text)) throw CLI::ValidationError(name, fmt::format("\"{}\" is no day. Write it like 2025-09-30", text));
             }, about)->type_name("YYYY-MM-DD");
}

CLI::Validator numberFrom(double least, double most, bool above) {
  constexpr double kNoLimit = 1e6;  // such a bound only keeps nonsense out: not worth the reader's time
  const std::string from = (above ? "above " : "") + formatNumber(least);
  const std::string range = most < kNoLimit ? from + " to " + formatNumber(most) : above ? from : from + " or more";
  return CLI::Validator(
      [=](const std::string& text) {
        const auto number = parseNumber(text);
        const bool fits = number && (above ? *number > least : *number >= least) && *number <= most;
        return fits ? std::string() : fmt::format("\"{}\" is not a number, {}", text, range);
      },
      range);
}

std::string tableAsJson(const Table& table) {
  auto rows = nlohmann::ordered_json::array();
  for (std::size_t row = 0; row < table.rows(); ++row) {
    nlohmann::ordered_json object;
    for (const auto& column : table.columns()) {
      auto& value = object[column.name()];
      if (column.isMissing(row)) value = nullptr;
      else if (column.kind() == Column::Kind::Integer) value = *column.asInteger(row);
      else if (column.kind() == Column::Kind::Real) value = *column.asReal(row);
      else value = column.textAt(row);
    }
    rows.push_back(std::move(object));
  }
  return rows.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

std::string problemAsJson(const Problem& problem) {
  return "{\"problem\":{\"what\":" + jsonText(problem.what) + ",\"where\":" + jsonText(problem.where) + ",\"mend\":" + jsonText(problem.mend) + "}}\n";
}

std::string jsonText(std::string_view text) {
  return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace leeward::command
