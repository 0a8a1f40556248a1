#include "viewer/command/terminal.h"

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <memory>
#include <set>
#include <thread>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

#include <nlohmann/json.hpp>

#include "shared/table/csv.h"

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
  if (json) {
    print("{\"problem\":{\"what\":" + jsonText(problem.what) + ",\"where\":" + jsonText(problem.where) + ",\"mend\":" + jsonText(problem.mend) + "}}\n");
  }
  std::fprintf(stderr, "leeward: %s\n", problem.text().c_str());
}

void Terminal::deliver(const Layer& layer, bool owner_only) {
  if (!output.empty()) {
    auto steps = progress();
    if (auto written = writeLayer(layer, output, steps, owner_only); !written) return fail(written.problem());
    if (json) print("{\"output\":" + jsonText(output) + ",\"rows\":" + std::to_string(layer.rows()) + "}\n");
    else say(fmt::format("{} rows in {}", layer.rows(), output));
    return;
  }
  print(json ? "{\"rows\":" + tableAsJson(layer.table) + "}\n" : toCsv(layer.table));
}

void Terminal::refused(std::size_t count, const std::string& report_path) {
  if (count == 0) return;
  say(fmt::format("{} {} refused; {} listed with line, column and reason in {}", count, count == 1 ? "row was" : "rows were",
                  count == 1 ? "it is" : "they are", report_path));
  if (strict && status == 0) status = 3;
}

void addCommonOptions(CLI::App& verb, Terminal& terminal, bool draws, bool intervals) {
  verb.add_flag("--json", terminal.json, "One JSON object on standard output and nothing else");
  verb.add_flag("--quiet", terminal.quiet, "No messages and no progress");
  verb.add_option("--threads", terminal.threads, "How many threads (never changes a result)")->check(CLI::Range(1, 256));
  if (draws) verb.add_option("--seed", terminal.seed, "Seed of random draws")->capture_default_str();
  if (intervals) verb.add_option("--level", terminal.level, "Level of intervals")->check(CLI::Range(0.5, 0.999))->capture_default_str();
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

std::string jsonText(std::string_view text) {
  return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace leeward::command
