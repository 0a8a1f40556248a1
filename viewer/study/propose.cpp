#include "viewer/study/propose.h"

#include <algorithm>
#include <array>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "importers/source.h"
#include "importers/what_is_it.h"
#include "shared/base/text.h"
#include "shared/ledger/ledger.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t kRowsLookedAt = 400;
constexpr double kWorthSaying = 0.4;  ///< of a guess's confidence: below, a person is not asked

/// One layer of a file, with all that it could be.
struct Looked {
  Proposal proposal;
  std::vector<importers::KindGuess> guesses;
  int year = 0;  ///< said in the name, else in a heading such as GEOID20
  std::uintmax_t bytes = 0;
  std::size_t next = 0;  ///< of guesses, when an earlier one is taken
};

bool isSideFile(const fs::path& file) {
  constexpr std::array<std::string_view, 16> kSides = {".dbf", ".prj", ".shx", ".cpg", ".sbn", ".sbx", ".tfw", ".qix", ".xml", ".md", ".txt", ".pdf", ".html", ".toml", ".sqlite", ".qmd"};
  const std::string ending = lowerAscii(file.extension().string());
  return file.filename().string().starts_with('.') || std::ranges::find(kSides, ending) != kSides.end();
}

int yearIn(const std::string& name) {
  int latest = 0;
  for (std::size_t i = 0; i + 4 <= name.size(); ++i) {
    const bool alone = (i == 0 || !isDigit(name[i - 1])) && (i + 4 == name.size() || !isDigit(name[i + 4]));
    if (!alone || !std::all_of(name.begin() + static_cast<std::ptrdiff_t>(i), name.begin() + static_cast<std::ptrdiff_t>(i) + 4, isDigit)) continue;
    const int year = std::stoi(name.substr(i, 4));
    if (year >= 1970 && year <= 2100) latest = std::max(latest, year);
  }
  return latest;
}

/// "GEOID20" -> 2020: how the Census Bureau names the columns of a decade's areas.
int yearInHeadings(const Table& table) {
  for (const auto& name : table.names()) {
    const std::string upper = lowerAscii(name);
    if (upper.starts_with("geoid") && upper.size() == 7 && isDigit(upper[5]) && upper[6] == '0') return 2000 + 10 * (upper[5] - '0');
  }
  return 0;
}

Looked lookAt(const fs::path& file, const std::string& layer, Progress& progress) {
  Looked looked;
  looked.proposal.file = file, looked.proposal.layer = layer;
  looked.year = yearIn(file.stem().string());
  std::error_code ignored;
  looked.bytes = fs::file_size(file, ignored);
  const std::string ending = lowerAscii(file.extension().string());
  if (ending == ".tif" || ending == ".tiff" || ending == ".asc") {
    looked.guesses = {{"heat", 0.78, "a raster", {}}};
    return looked;
  }
  LayerRequest request;
  request.source = looked.proposal.source();
  request.row_limit = kRowsLookedAt;
  auto source = importers::readSource(request, progress);
  if (!source) {
    looked.proposal.why = source.problem().what;
    return looked;
  }
  if (looked.year == 0) looked.year = yearInHeadings(source->layer.table);
  looked.guesses = importers::whatIsIt(source->layer, file.filename().string() + (layer.empty() ? "" : " " + layer));
  if (looked.guesses.empty()) looked.proposal.why = "nothing in it tells what it is";
  return looked;
}

bool isCrewKind(std::string_view kind) { return kind == "visits" || kind == "sightings" || kind == "stock"; }

/// Gives each file its likeliest kind that no surer file has.
void settleKinds(std::vector<Looked>& files) {
  std::set<std::string> taken;
  while (true) {
    Looked* best = nullptr;
    // Among files that are surely of a kind, the newest and then the largest is the better source, not the one with the fewest columns.
    const auto rank = [](const Looked& one) {
      const double sure = one.guesses[one.next].confidence;
      return std::tuple(std::min(sure, kSureProposal), one.year, one.bytes, sure);
    };
    for (Looked& one : files) {
      if (!one.proposal.kind.empty()) continue;
      while (one.next < one.guesses.size() && (taken.contains(one.guesses[one.next].kind) || one.guesses[one.next].confidence < kWorthSaying)) {
        const auto& guess = one.guesses[one.next++];
        if (guess.confidence >= kWorthSaying) one.proposal.why = fmt::format("it could be {}, but another file is newer, larger or surer to be that", guess.kind);
        else if (one.proposal.why.empty()) one.proposal.why = "nothing in it tells what it is";
      }
      if (one.next < one.guesses.size() && (best == nullptr || rank(one) > rank(*best))) best = &one;
    }
    if (best == nullptr) return;
    const auto& guess = best->guesses[best->next];
    Proposal& proposal = best->proposal;
    proposal.kind = guess.kind, proposal.confidence = guess.confidence, proposal.why = guess.why, proposal.shown = guess.shown;
    for (std::size_t i = best->next + 1; i < best->guesses.size(); ++i) proposal.also.push_back(best->guesses[i].kind);
    if (!isCrewKind(guess.kind)) taken.insert(guess.kind);
  }
}

std::size_t orderOf(const std::string& kind) {
  std::vector<std::string> order = layerKinds();
  order.insert(order.end(), {"sightings", "visits", "stock"});
  return static_cast<std::size_t>(std::ranges::find(order, kind) - order.begin());  // no kind: last
}

/// The files of a folder (not of folders below it), side files left out, by name.
std::vector<fs::path> filesIn(const fs::path& folder) {
  std::error_code error;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    const bool is_file = entry.is_regular_file(error) || lowerAscii(entry.path().extension().string()) == ".gdb";
    if (is_file && !isSideFile(entry.path())) files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

Result<std::vector<Proposal>> proposalsFor(const std::vector<fs::path>& files, Progress& progress) {
  std::vector<Looked> looked;
  for (std::size_t i = 0; i < files.size(); ++i) {
    LEEWARD_TRY(progress.checkStop());
    progress.report(static_cast<double>(i) / static_cast<double>(files.size()), "Looking at " + files[i].filename().string());
    Progress silent;
    const std::string ending = lowerAscii(files[i].extension().string());
    std::vector<std::string> layers = {""};
    if (ending == ".gpkg" || ending == ".xlsx" || ending == ".ods" || ending == ".kml" || ending == ".kmz" || ending == ".gdb" || ending == ".zip") {
      if (auto names = layerNames(files[i].string()); names.ok() && names->size() > 1) layers = *names;
    }
    for (const auto& layer : layers) looked.push_back(lookAt(files[i], layer, silent));
  }
  settleKinds(looked);
  std::ranges::stable_sort(looked, {}, [](const Looked& one) { return orderOf(one.proposal.kind); });
  std::vector<Proposal> proposals;
  for (auto& one : looked) proposals.push_back(std::move(one.proposal));
  progress.report(1);
  return proposals;
}

}  // namespace

Result<std::vector<Proposal>> lookInto(const fs::path& folder, Progress& progress) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) return Problem{ProblemCode::NotFound, "there is no such folder", folder.string(), "Name the folder with your files"};
  return proposalsFor(filesIn(folder), progress);
}

Result<std::vector<Proposal>> lookAtFiles(const std::vector<fs::path>& picked, Progress& progress) {
  std::vector<fs::path> files;
  std::error_code error;
  for (const auto& one : picked) {
    if (!fs::exists(one, error)) return Problem{ProblemCode::NotFound, "there is no such file", one.string(), ""};
    const bool is_folder = fs::is_directory(one, error) && lowerAscii(one.extension().string()) != ".gdb";
    const auto more = is_folder ? filesIn(one) : isSideFile(one) ? std::vector<fs::path>{} : std::vector<fs::path>{one};
    files.insert(files.end(), more.begin(), more.end());
  }
  return proposalsFor(files, progress);
}

Result<std::vector<std::string>> nextSteps(const fs::path& study_folder) {
  LEEWARD_ASSIGN(study, readStudyFile(study_folder));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(looks, ledger.count(Entity::Looks));
  const std::string dir = study_folder.string();
  const auto has = [&](const char* kind) { return study.sources.contains(kind); };
  std::vector<std::string> steps;
  const auto missing = [&](const char* kind, const char* what, const char* file) {
    steps.push_back(fmt::format("{}: leeward take-in {} {} {}", what, dir, kind, file));
  };
  if (!has("blocks")) missing("blocks", "Needed for any map, the census blocks of your area", "BLOCKS.gpkg");
  if (!has("premises")) missing("premises", "Needed to know how many doors nobody has looked at, the address points", "ADDRESSES.csv");
  if (!has("streets")) missing("streets", "Worth having, the streets: addresses without a point are placed along them", "STREETS.geojson");
  if (looks == 0) missing("visits", "Your log of visits (what to write in it: importers/FORMATS.md)", "VISITS.xlsx");
  if (!has("blocks")) return steps;
  steps.push_back(fmt::format("Work it all out and write the sheets and the board's brief: leeward run {}", dir));
  steps.push_back(fmt::format("The map of where you have been and where nobody has looked: leeward sheet {} coverage -o coverage.pdf", dir));
  steps.push_back(fmt::format("Where to go next: leeward next {} --top 10", dir));
  steps.push_back(fmt::format("See it all in a window: leeward view {}", dir));
  return steps;
}

}  // namespace leeward::study
