#include "viewer/study/run/decisions.h"

#include <algorithm>
#include <limits>

#include "shared/base/hash.h"
#include "shared/base/text.h"
#include "shared/layer/column_cache.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

bool isWordByte(char c) { return isDigit(c) || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80; }

std::string withReading(const std::string& text, const std::string& typed, const std::string& meant) {
  const std::string lower = lowerAscii(text), sought = lowerAscii(typed);
  std::string out;
  std::size_t from = 0;
  for (std::size_t at = lower.find(sought); at != std::string::npos && !sought.empty(); at = lower.find(sought, at)) {
    const std::size_t end = at + sought.size();
    const bool begins = at == 0 || !isWordByte(lower[at - 1]) || !isWordByte(sought.front());
    const bool ends = end == lower.size() || !isWordByte(lower[end]) || !isWordByte(sought.back());
    if (!begins || !ends) {
      ++at;
      continue;
    }
    out += text.substr(from, at - from) + meant;
    from = at = end;
  }
  return out + text.substr(from);
}

std::filesystem::path candidatesFile(const std::filesystem::path& cache) { return cache / "candidates.columns"; }

}  // namespace

Result<Decisions> decisionsInForce(const Ledger& ledger) {
  LEEWARD_ASSIGN(rows, ledger.read(Entity::Decisions));
  Decisions decisions;
  Sha256 hash;
  const auto ids = textsOf(rows, "id"), kinds = textsOf(rows, "kind"), typed = textsOf(rows, "typed"), meant = textsOf(rows, "meant"), at = textsOf(rows, "decided_at");
  const Column& undone = columnOf(rows, "undone");
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    if (undone.asInteger(row).value_or(0) != 0) continue;
    hash.addField(ids[row]);
    if (kinds[row] == "teach") decisions.taught.emplace_back(typed[row], meant[row]);
    if (kinds[row] != "accept" && kinds[row] != "move" && kinds[row] != "refuse") continue;
    constexpr double kNowhere = std::numeric_limits<double>::quiet_NaN();
    decisions.by_typed[typed[row]] = {kinds[row], meant[row], at[row].substr(0, 10), pointAt(rows, row).value_or(Point{kNowhere, kNowhere})};
  }
  decisions.key = hash.hex();
  return decisions;
}

std::string asTaught(const std::string& text, const std::vector<std::pair<std::string, std::string>>& taught) {
  std::string out = text;
  for (const auto& [typed, meant] : taught) out = withReading(out, typed, meant);
  return out;
}

Result<void> keepCandidates(const std::filesystem::path& cache, const std::string& key, const std::vector<KeptCandidate>& candidates) {
  std::vector<std::string> typed, placed_by, address, id;
  std::vector<double> lon, lat, score, uncertainty;
  for (const auto& one : candidates) {
    typed.push_back(one.typed_key), placed_by.push_back(one.placed_by), address.push_back(one.address), id.push_back(one.matched_id);
    lon.push_back(one.position.x), lat.push_back(one.position.y), score.push_back(one.score), uncertainty.push_back(one.uncertainty_m);
  }
  Layer layer;
  layer.name = "candidates";
  layer.table = TableMaker{}.texts("typed_key", typed).texts("placed_by", placed_by).texts("address", address).texts("matched_id", id)
                    .reals("lon", lon).reals("lat", lat).reals("score", score).reals("uncertainty_m", uncertainty).done();
  std::error_code error;
  std::filesystem::create_directories(cache, error);
  std::filesystem::permissions(cache, std::filesystem::perms::owner_all, error);
  return writeCached(layer, candidatesFile(cache), key, cache.parent_path() / "ledger.sqlite");
}

std::optional<std::vector<KeptCandidate>> keptCandidates(const std::filesystem::path& cache, const std::string& key) {
  const auto layer = readCached(candidatesFile(cache), key, cache.parent_path() / "ledger.sqlite");
  if (!layer) return std::nullopt;
  const Table& rows = layer->table;
  const auto typed = textsOf(rows, "typed_key"), placed_by = textsOf(rows, "placed_by"), address = textsOf(rows, "address"), id = textsOf(rows, "matched_id");
  std::vector<KeptCandidate> candidates;
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    constexpr double kNowhere = std::numeric_limits<double>::quiet_NaN();
    candidates.push_back({typed[row], placed_by[row], address[row], id[row], pointAt(rows, row).value_or(Point{kNowhere, kNowhere}),
                          columnOf(rows, "score").asReal(row).value_or(0), columnOf(rows, "uncertainty_m").asReal(row).value_or(kNowhere)});
  }
  return candidates;
}

}  // namespace leeward::study
