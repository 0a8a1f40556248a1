#include "viewer/study/run/bring.h"

#include <algorithm>
#include <array>
#include <vector>

#include <fmt/format.h>

#include "analysis/outcomes/stock.h"
#include "shared/base/text.h"

namespace leeward::study {

std::string inWords(const Bring& bring) {
  std::vector<std::string> pieces;
  for (const auto& [item, count] : bring) pieces.push_back(item + " " + formatNumber(count));
  return join(pieces, "; ");
}

Bring bringFrom(std::string_view words) {
  Bring bring;
  for (const auto piece : split(words, ';')) {
    const auto one = trim(piece);
    const auto blank = one.rfind(' ');
    const auto count = blank == std::string_view::npos ? std::nullopt : parseNumber(one.substr(blank + 1));
    if (count) bring[std::string(trim(one.substr(0, blank)))] += *count;
  }
  return bring;
}

Bring bringFor(const analysis::ConditionCheck& last, const std::map<std::string, std::string>& what_for) {
  Bring bring;
  for (const auto& [id, what] : what_for) {
    const auto item = analysis::conditionItemIndex(id);
    if (!item || last.items[*item] != analysis::ItemState::Unmet) continue;
    if (const auto key = analysis::itemKey(what); !key.empty()) bring[key] = 1;  // a collar that neither fits nor is a flat one is one collar
  }
  return bring;
}

Bring bringFor(std::string_view promised, const std::set<std::string>& known) {
  // "Bring straw", "2 bowls"; but "owner will fix the roof of the house" asks for no house.
  static constexpr std::array<std::string_view, 10> kBringing = {"bring", "give", "deliver", "swap", "replace", "drop off", "traer", "llevar", "entregar", "cambiar"};
  constexpr std::ptrdiff_t kFewBlanks = 2;
  const std::string text = lowerAscii(trim(promised));
  const bool is_list = std::ranges::count(text, ' ') <= kFewBlanks || text.find(';') != std::string::npos;
  Bring bring;
  if (text.starts_with("owner") || (!is_list && std::ranges::none_of(kBringing, [&](auto verb) { return text.find(verb) != std::string::npos; }))) return bring;
  for (const auto& item : known) {
    if (const double count = analysis::askedFor(promised, item); count > 0) bring[item] = count;
  }
  return bring;
}

}  // namespace leeward::study
