#include "viewer/study/settle.h"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <unordered_map>
#include <utility>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/crs.h"
#include "shared/ledger/ledger.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/decisions.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace {

using Action = SettleRequest::Action;
constexpr std::size_t kShortId = 8;
constexpr double kFarM = 100'000;

std::string nowInUtc() {
  const std::time_t now = std::time(nullptr);
  std::tm parts{};
  gmtime_r(&now, &parts);
  char text[32];
  const std::size_t length = std::strftime(text, sizeof text, "%Y-%m-%dT%H:%M:%SZ", &parts);
  return {text, length};
}

std::string endOf(const std::string& id) { return id.substr(id.size() - std::min(kShortId, id.size())); }

std::string wordsOf(const std::string& typed_key) {
  std::string words;
  for (const auto piece : split(typed_key, '|')) {
    if (!trim(piece).empty()) words += (words.empty() ? "" : ", ") + std::string(trim(piece));
  }
  return words;
}

/// The ledger's placements with what hangs on them.
struct PlacedTexts {
  std::vector<std::string> ids, keys, decisions, whys;
  std::vector<std::optional<Point>> positions;
  std::unordered_map<std::string, std::uint64_t> rows_of;  ///< placement id -> looks and sightings
};

Result<PlacedTexts> placedTexts(const Ledger& ledger) {
  LEEWARD_ASSIGN(placements, ledger.read(Entity::Placements));
  PlacedTexts texts{textsOf(placements, "id"), textsOf(placements, "typed_key"), textsOf(placements, "decision"), textsOf(placements, "why"), {}, {}};
  for (std::size_t row = 0; row < placements.rows(); ++row) texts.positions.push_back(pointAt(placements, row));
  for (const Entity entity : {Entity::Looks, Entity::Sightings}) {
    LEEWARD_ASSIGN(rows, ledger.read(entity));
    for (const auto& id : textsOf(rows, "placement_id")) texts.rows_of[id] += id.empty() ? 0 : 1;
  }
  return texts;
}

std::uint64_t rowsOf(const PlacedTexts& texts, std::size_t at) {
  const auto found = texts.rows_of.find(texts.ids[at]);
  return found == texts.rows_of.end() ? 0 : found->second;
}

bool isPhone(const std::string& key) { return key.starts_with("@ "); }

Result<std::size_t> findAddress(const PlacedTexts& texts, const SettleRequest& request) {
  const std::string list = fmt::format("List them: leeward settle {}", request.folder.string());
  std::vector<std::size_t> found;
  const std::string sought = lowerAscii(trim(request.address));
  for (std::size_t i = 0; i < texts.ids.size(); ++i) {
    if (isPhone(texts.keys[i])) continue;
    if (texts.ids[i] == sought || endOf(texts.ids[i]) == sought) return i;
    const std::string key = lowerAscii(texts.keys[i]);
    if (rowsOf(texts, i) > 0 && (key == sought || lowerAscii(wordsOf(texts.keys[i])) == sought || trim(split(key, '|').front()) == sought)) found.push_back(i);
  }
  if (found.size() == 1) return found.front();
  if (found.empty()) return Problem{ProblemCode::NotFound, fmt::format("no address \"{}\" was placed in this study", request.address), request.folder.string(), list};
  return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" was typed with {} different towns or postcodes", request.address, found.size()), request.folder.string(),
                 list + ", and name one by its id"};
}

/// One decision on its way into the ledger.
struct Draft {
  std::string kind, typed, meant;
  Point position{kNan, kNan};
  std::uint64_t rows = 0;
};

Result<Draft> accepted(const SettleRequest& request, const StudyFile& study, const Ledger& ledger, const PlacedTexts& texts, std::size_t at) {
  const std::string folder = request.folder.string();
  LEEWARD_ASSIGN(key, ledger.setting("placing_key"));
  const auto kept = keptCandidates(study.cache(), key.value_or(""));
  if (!kept) return Problem{ProblemCode::NotFound, "the candidates are not at hand", folder, fmt::format("Work them out again: leeward run {}", folder)};
  std::size_t number = 0;
  for (const auto& one : *kept) {
    if (one.typed_key == texts.keys[at] && ++number == request.candidate) return Draft{"accept", texts.keys[at], one.address, one.position, rowsOf(texts, at)};
  }
  const std::string has = number == 0 ? "no candidate" : number == 1 ? "one candidate" : fmt::format("{} candidates", number);
  return Problem{ProblemCode::NotFound, fmt::format("\"{}\" has {}", wordsOf(texts.keys[at]), has), folder,
                 number == 0 ? "Set its place with move, or teach what was meant" : "Choose one of those that the list shows"};
}

/// A pair the wrong way round would put a dog across the world.
Result<Draft> moved(const SettleRequest& request, const StudyFile& study, const PlacedTexts& texts, std::size_t at) {
  const Point to = request.position;
  const bool is_local = study.crs == "local";
  const auto distanceM = [&](Point other) { return is_local ? std::hypot(other.x - to.x, other.y - to.y) : geodesicDistanceM(other, to); };
  const bool on_globe = std::isfinite(to.x) && std::isfinite(to.y) && (is_local || (std::abs(to.x) <= 180 && std::abs(to.y) <= 90));
  bool any = false, near = false;
  for (std::size_t i = 0; on_globe && i < texts.positions.size() && !near; ++i) {
    if (!texts.positions[i]) continue;
    any = true;
    near = distanceM(*texts.positions[i]) <= kFarM;
  }
  if (!on_globe || (any && !near)) {
    return Problem{ProblemCode::InvalidArgument, "that place is more than 100 km from everything that was placed in this study",
                   fmt::format("--lon {} --lat {}", formatNumber(to.x), formatNumber(to.y)), "Longitude is --lon (west is negative), latitude --lat"};
  }
  return Draft{"move", texts.keys[at], "", to, rowsOf(texts, at)};
}

Result<Draft> taught(const SettleRequest& request, const PlacedTexts& texts) {
  Draft draft{.kind = "teach", .typed = std::string(trim(request.typed)), .meant = std::string(trim(request.meant))};
  if (draft.typed.empty() || draft.meant.empty() || draft.typed == draft.meant) {
    return Problem{ProblemCode::InvalidArgument, "a reading needs the words as typed and other words that they mean", "teach", "Write: teach 'mlk' 'Martin Luther King Jr Blvd'"};
  }
  for (std::size_t i = 0; i < texts.keys.size(); ++i) {
    const std::string text(trim(split(texts.keys[i], '|').front()));
    if (!isPhone(texts.keys[i]) && asTaught(text, {{draft.typed, draft.meant}}) != text) draft.rows += rowsOf(texts, i);
  }
  return draft;
}

Result<Draft> draftOf(const SettleRequest& request, const StudyFile& study, const Ledger& ledger, const PlacedTexts& texts) {
  if (request.action == Action::Teach) return taught(request, texts);
  LEEWARD_ASSIGN(at, findAddress(texts, request));
  if (request.action == Action::Accept) return accepted(request, study, ledger, texts, at);
  if (request.action == Action::Move) return moved(request, study, texts, at);
  return Draft{.kind = "refuse", .typed = texts.keys[at], .rows = rowsOf(texts, at)};
}

Result<SettleOutcome> undoLast(const SettleRequest& request, Ledger& ledger, Progress& progress) {
  LEEWARD_ASSIGN(rows, ledger.read(Entity::Decisions));
  for (std::size_t row = rows.rows(); row-- > 0;) {
    const std::string kind = textsOf(rows, "kind")[row];
    const bool is_address = kind == "accept" || kind == "move" || kind == "refuse" || kind == "teach";
    if (!is_address || columnOf(rows, "undone").asInteger(row).value_or(0) != 0) continue;
    const std::string id = textsOf(rows, "id")[row];
    LEEWARD_TRY(ledger.put({{Entity::Decisions, TableMaker{}.texts("id", std::vector<std::string>{id}).integers("undone", std::vector<std::int64_t>{1}).done()}}, progress));
    return SettleOutcome{{textsOf(rows, "decided_at")[row].substr(0, 10), kind, textsOf(rows, "typed")[row], textsOf(rows, "meant")[row],
                          pointAt(rows, row).value_or(Point{kNan, kNan})}, 0};
  }
  return Problem{ProblemCode::NotFound, "nothing was settled by hand that could be undone", request.folder.string(), ""};
}

}  // namespace

Result<SettleList> openAddresses(const std::filesystem::path& folder) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(texts, placedTexts(ledger));
  LEEWARD_ASSIGN(key, ledger.setting("placing_key"));
  LEEWARD_ASSIGN(rows, ledger.read(Entity::Decisions));
  LEEWARD_ASSIGN(decisions, decisionsInForce(ledger));
  LEEWARD_ASSIGN(placed_with, ledger.setting("placing_decisions"));
  LEEWARD_TRY(ledger.close());
  SettleList list;
  const auto kept = keptCandidates(study.cache(), key.value_or(""));
  list.is_stale = !kept || placed_with.value_or("") != decisions.key;
  std::unordered_map<std::string, std::vector<Choice>> choices;
  if (kept) {
    for (const auto& one : *kept) choices[one.typed_key].push_back({one.placed_by, one.address, one.position, one.score, one.uncertainty_m});
  }
  for (std::size_t i = 0; i < texts.ids.size(); ++i) {
    const bool is_open = texts.decisions[i] != "placed" && !isPhone(texts.keys[i]) && rowsOf(texts, i) > 0 && !decisions.by_typed.contains(texts.keys[i]);
    if (is_open) list.open.push_back({endOf(texts.ids[i]), texts.keys[i], texts.decisions[i], texts.whys[i], rowsOf(texts, i), choices[texts.keys[i]]});
  }
  std::ranges::stable_sort(list.open, [](const OpenAddress& a, const OpenAddress& b) { return a.rows != b.rows ? a.rows > b.rows : a.typed < b.typed; });
  const auto kinds = textsOf(rows, "kind"), typed = textsOf(rows, "typed"), meant = textsOf(rows, "meant"), at = textsOf(rows, "decided_at");
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (columnOf(rows, "undone").asInteger(row).value_or(0) != 0 || kinds[row].starts_with("same_")) continue;
    list.settled.push_back({at[row].substr(0, 10), kinds[row], typed[row], meant[row], pointAt(rows, row).value_or(Point{kNan, kNan})});
  }
  return list;
}

Result<SettleOutcome> settle(const SettleRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  if (request.action == Action::Undo) {
    LEEWARD_ASSIGN(undone, undoLast(request, ledger, progress));
    LEEWARD_TRY(ledger.close());
    return undone;
  }
  LEEWARD_ASSIGN(texts, placedTexts(ledger));
  LEEWARD_ASSIGN(draft, draftOf(request, study, ledger, texts));
  const std::string at = nowInUtc();
  const auto one = [](const std::string& text) { return std::vector<std::string>{text}; };
  LEEWARD_TRY(ledger.put({{Entity::Decisions, TableMaker{}.texts("id", one(newUuid())).texts("decided_at", one(at)).texts("kind", one(draft.kind))
                                                   .texts("typed", one(draft.typed)).texts("meant", one(draft.meant)).reals("lon", {draft.position.x})
                                                   .reals("lat", {draft.position.y}).integers("undone", std::vector<std::int64_t>{0}).done()}}, progress));
  LEEWARD_TRY(ledger.close());
  return SettleOutcome{{at.substr(0, 10), draft.kind, draft.typed, draft.meant, draft.position}, draft.rows};
}

std::vector<std::string> describe(const SettleRequest& request, const SettleOutcome& done) {
  const std::string folder = request.folder.string(), words = wordsOf(done.settled.typed);
  std::string what;
  if (done.settled.kind == "accept") what = fmt::format("\"{}\" is read as {}", words, done.settled.meant);
  if (done.settled.kind == "move") what = fmt::format("\"{}\" lies at {}, {}", words, formatNumber(done.settled.position.x), formatNumber(done.settled.position.y));
  if (done.settled.kind == "refuse") what = fmt::format("\"{}\" is no place to visit", words);
  if (done.settled.kind == "teach") what = fmt::format("\"{}\" is always read as \"{}\"", done.settled.typed, done.settled.meant);
  if (request.action == Action::Undo) return {fmt::format("Taken back: {}.", what), fmt::format("Figures follow with the next leeward run {}.", folder)};
  return {fmt::format("Kept: {} ({} {}).", what, formatCount(static_cast<std::int64_t>(done.rows)), done.rows == 1 ? "look or sighting" : "looks and sightings"),
          fmt::format("Figures follow with the next leeward run {0}; to take it back: leeward settle {0} undo", folder)};
}

}  // namespace leeward::study
