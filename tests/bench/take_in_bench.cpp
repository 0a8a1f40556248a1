// How long a large visit log takes, stage by stage. The file comes from leeward-bench-files:
//   LEEWARD_BENCH_FILES=FOLDER build/bin/leeward-bench
#include <benchmark/benchmark.h>

#include <cstdlib>
#include <filesystem>
#include <string>

#include "importers/public_layer.h"
#include "importers/visits.h"
#include "shared/ledger/ledger.h"
#include "shared/table/csv.h"

namespace {

using namespace leeward;

std::string fileNamed(const char* name) {
  const char* folder = std::getenv("LEEWARD_BENCH_FILES");
  return (std::filesystem::path(folder != nullptr ? folder : ".") / name).string();
}

const importers::StudyFrame kFrame{{}, *makeDate(2026, 12, 31)};

/// One run an iteration, and rows a second.
template <class Work>
void timeRows(benchmark::State& state, Work work) {
  std::size_t rows = 0;
  for (auto step : state) {
    Progress progress;
    auto done = work(progress);
    if (!done) return state.SkipWithError(done.problem().what.c_str());
    rows += *done;
  }
  state.counters["rows/s"] = benchmark::Counter(static_cast<double>(rows), benchmark::Counter::kIsRate);
}

void readsCsv(benchmark::State& state) {
  timeRows(state, [](Progress& progress) -> Result<std::size_t> {
    LEEWARD_ASSIGN(read, readCsv(fileNamed("visits.csv"), progress));
    return read.table.rows();
  });
}

void importsVisits(benchmark::State& state) {
  timeRows(state, [](Progress& progress) -> Result<std::size_t> {
    LEEWARD_ASSIGN(import, importers::importVisits(fileNamed("visits.csv"), {}, kFrame, progress));
    return import.batch.report.read;
  });
}

void takesVisits(benchmark::State& state) {
  Progress progress;
  const auto import = importers::importVisits(fileNamed("visits.csv"), {}, kFrame, progress);
  if (!import) return state.SkipWithError(import.problem().what.c_str());
  const auto file = std::filesystem::temp_directory_path() / "leeward-bench.sqlite";
  timeRows(state, [&](Progress& inner) -> Result<std::size_t> {
    std::filesystem::remove(file);
    LEEWARD_ASSIGN(ledger, Ledger::create(file));
    LEEWARD_ASSIGN(taken, ledger.take(import->batch, inner));
    LEEWARD_TRY(ledger.close());
    return taken.added;
  });
  std::filesystem::remove(file);
}

BENCHMARK(readsCsv)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime()->Iterations(2);
BENCHMARK(importsVisits)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime()->Iterations(2);
BENCHMARK(takesVisits)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime()->Iterations(2);

}  // namespace

BENCHMARK_MAIN();
