#include "viewer/study/findings.h"

#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "shared/base/text.h"

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

std::vector<std::string> costWords(const Table& costs, const std::string& currency) {
  constexpr double kLarge = 100;
  const auto number = [&](const char* column, std::size_t row) -> std::string {
    const Column* found = costs.find(column);
    const auto value = found != nullptr ? found->asReal(row) : std::nullopt;
    if (!value) return "";
    return *value >= kLarge ? formatCount(std::llround(*value)) : fmt::format("{:.1f}", *value);
  };
  const auto sentence = [&](const char* total, const char* each, const char* low, const char* high, const std::string& unit) -> std::string {
    std::vector<std::string> parts;
    std::string spent;
    for (std::size_t row = 0; row < costs.rows(); ++row) {
      if (costs.find("period")->asText(row) != "all" || number(total, row).empty()) continue;
      spent = number(total, row);
      const auto count = costs.find("count")->asInteger(row).value_or(0);
      const std::string outcome = costs.find("outcome")->asText(row);
      parts.push_back(count == 0 ? fmt::format("none of {} yet", outcome == "animals met" ? "animals met" : "animals " + outcome)
                                 : fmt::format("{} ({} to {}) for each of {} {}", number(each, row), number(low, row), number(high, row), formatCount(count), outcome == "animals met" ? outcome : "that " + std::string(outcome == "neutered" ? "were neutered" : "improved")));
    }
    return spent.empty() ? "" : fmt::format("Over the whole record some {}{}: {}.", spent, unit, join(parts, "; "));
  };
  std::vector<std::string> words;
  for (auto& one : {sentence("hours", "hours_each", "hours_low", "hours_high", " hours"), sentence("cost", "cost_each", "cost_low", "cost_high", currency.empty() ? " spent" : " " + currency)}) {
    if (!one.empty()) words.push_back(one);
  }
  return words;
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
