#include "viewer/study/findings.h"

#include <string_view>

namespace leeward::study {

const std::vector<BlockState>& blockStates() {
  static const std::vector<BlockState> kStates = {{"never", "never looked at"},
                                                  {"nobody", "nobody reached"},
                                                  {"none", "no dog found"},
                                                  {"ontime", "dogs known, all on time"},
                                                  {"overdue", "dogs known, some overdue"}};
  return kStates;
}

std::optional<std::int64_t> changedTotal(const Table& totals, const std::string& area_name, int periods, const char* count) {
  const Column* name = totals.find("area_name");
  const Column* span = totals.find("span");
  const Column* counts = totals.find(count);
  if (name == nullptr || span == nullptr || counts == nullptr) return std::nullopt;
  const std::string wanted = periods > 0 ? std::to_string(periods) : "all";
  for (std::size_t row = 0; row < totals.rows(); ++row) {
    if (name->textAt(row) == area_name && span->textAt(row) == wanted) return counts->asInteger(row);
  }
  return std::nullopt;
}

std::string periodWords(const Table& changed, std::size_t row) {
  const Column* period = changed.find("period");
  if (period == nullptr) return {};
  std::string words = period->asText(row);
  for (const auto& [name, before] : {std::pair("begins", ", from "), std::pair("up_to", ", to ")}) {
    const Column* column = changed.find(name);
    const auto day = column != nullptr && !column->isMissing(row) ? parseIsoDate(column->textAt(row)) : std::nullopt;
    if (!day) continue;
    const std::string whole = toWords(*day);  // "14 September 2025"
    words += before + whole.substr(0, whole.find(' ') + 4);
  }
  return words;
}

std::string firstPartialPeriod(const Table& changed) {
  const Column* begins = changed.find("begins");
  for (std::size_t row = 0; begins != nullptr && row < changed.rows(); ++row) {
    if (!begins->isMissing(row)) return periodWords(changed, row);
  }
  return {};
}

std::string partialPeriod(const Table& changed) {
  const Column* up_to = changed.find("up_to");
  if (up_to == nullptr) return {};
  for (std::size_t row = 0; row < changed.rows(); ++row) {
    if (!up_to->isMissing(row)) return periodWords(changed, row);
  }
  return {};
}

}  // namespace leeward::study
