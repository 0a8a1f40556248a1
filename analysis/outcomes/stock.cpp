#include "analysis/outcomes/stock.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

/// One thing that happened to an item on a day: a movement, or something given.
struct Happening {
  Date date;
  const StockEntry* entry = nullptr;
  const StockUse* use = nullptr;
  bool isCount() const { return entry != nullptr && entry->move == StockMove::Counted; }
};

std::vector<std::string> wordsOf(std::string_view text) {
  static constexpr auto kSame = std::to_array<std::pair<std::string_view, std::string_view>>({{"paja", "straw"}, {"paca", "bale"}});
  std::vector<std::string> words;
  std::string word;
  const auto end = [&] {
    while (word.ends_with('.') || word.ends_with('-')) word.pop_back();
    if (word.size() > 3 && word.back() == 's' && word[word.size() - 2] != 's') word.pop_back();
    for (const auto& [other, own] : kSame) {
      if (word == other) word = own;
    }
    if (!word.empty()) words.push_back(std::exchange(word, {}));
  };
  for (const char c : lowerAscii(text)) {
    if (static_cast<unsigned char>(c) >= 0x80 || isDigit(c) || (c >= 'a' && c <= 'z') || c == '-' || c == '.') word += c;
    else end();
  }
  end();
  return words;
}

void apply(const StockEntry& entry, ItemStock& stock) {
  double& place = entry.van == kStore ? stock.in_store : stock.on_van[static_cast<std::size_t>(entry.van)];
  switch (entry.move) {
    case StockMove::In: place += entry.quantity, stock.came_in += entry.quantity; break;
    case StockMove::Out: place -= entry.quantity, stock.went_out += entry.quantity; break;
    case StockMove::Load: stock.in_store -= entry.quantity, place += entry.quantity; break;
    case StockMove::Unload: stock.in_store += entry.quantity, place -= entry.quantity; break;
    case StockMove::Counted: place = entry.quantity, stock.counted = entry.date; break;
  }
}

}  // namespace

std::vector<ItemStock> stockBalances(std::span<const StockEntry> entries, std::span<const StockUse> uses, std::size_t items, std::size_t vans, Date as_of) {
  std::vector<ItemStock> stock(items);
  std::vector<std::vector<Happening>> of_item(items);
  const auto isMeant = [&](Date date, std::int32_t item, std::int32_t van) { return date <= as_of && item >= 0 && static_cast<std::size_t>(item) < items && van < static_cast<std::int32_t>(vans); };
  for (const auto& entry : entries) {
    const bool has_van = entry.van != kStore || (entry.move != StockMove::Load && entry.move != StockMove::Unload);
    if (isMeant(entry.date, entry.item, entry.van) && has_van) of_item[static_cast<std::size_t>(entry.item)].push_back({entry.date, &entry, nullptr});
  }
  std::vector<std::optional<Date>> begins(items);
  for (std::size_t item = 0; item < items; ++item) {
    for (const auto& one : of_item[item]) begins[item] = std::min(begins[item].value_or(one.date), one.date);
  }
  for (const auto& use : uses) {
    if (!isMeant(use.date, use.item, use.van)) continue;
    const auto& begin = begins[static_cast<std::size_t>(use.item)];
    if (begin && use.date >= *begin) of_item[static_cast<std::size_t>(use.item)].push_back({use.date, nullptr, &use});
  }
  for (std::size_t item = 0; item < items; ++item) {
    auto& own = stock[item];
    own.on_van.assign(vans, 0);
    std::ranges::stable_sort(of_item[item], {}, [](const Happening& one) { return std::pair(one.date, one.isCount()); });
    double paid = 0, paid_for = 0;
    for (const auto& one : of_item[item]) {
      if (one.use != nullptr) {
        own.given += one.use->quantity;
        (one.use->van == kStore ? own.in_store : own.on_van[static_cast<std::size_t>(one.use->van)]) -= one.use->quantity;
        continue;
      }
      apply(*one.entry, own);
      if (one.entry->move != StockMove::In) continue;
      if (one.entry->use_by && *one.entry->use_by >= as_of) own.use_by = std::min(own.use_by.value_or(*one.entry->use_by), *one.entry->use_by);
      if (one.entry->cost) paid += *one.entry->cost, paid_for += one.entry->quantity;
    }
    if (paid_for > 0) own.cost_each = paid / paid_for;
  }
  return stock;
}

std::string itemKey(std::string_view written) {
  std::vector<std::string> words = wordsOf(written);
  if (std::ranges::find(words, "straw") != words.end()) std::erase_if(words, [](const std::string& word) { return word == "bale" || word == "of" || word == "de"; });
  return join(words, " ");
}

double askedFor(std::string_view text, std::string_view key) {
  const std::vector<std::string> words = wordsOf(text), wanted = wordsOf(key);
  if (wanted.empty() || words.size() < wanted.size()) return 0;
  const auto numberAt = [&](std::size_t at) -> std::optional<double> {
    if (at >= words.size()) return std::nullopt;
    const auto number = parseNumber(words[at]);
    return number && *number > 0 && *number <= 100 ? number : std::nullopt;
  };
  for (std::size_t at = 0; at + wanted.size() <= words.size(); ++at) {
    if (!std::equal(wanted.begin(), wanted.end(), words.begin() + static_cast<std::ptrdiff_t>(at))) continue;
    // "2 bales of straw": the measure stands between.
    const auto measure = [&](std::size_t back) { return back == 1 || (back == 2 && words[at - 1] == "bale") || (back == 3 && words[at - 1] == "of" && words[at - 2] == "bale"); };
    for (std::size_t back = 1; back <= std::min<std::size_t>(at, 3); ++back) {
      if (const auto number = measure(back) ? numberAt(at - back) : std::nullopt) return *number;
    }
    return numberAt(at + wanted.size()).value_or(1);
  }
  return 0;
}

}  // namespace leeward::analysis
