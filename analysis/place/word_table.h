#pragma once
/// A published table of words as it stands in code: one line an entry, "PRIMARY STANDARD VARIANT VARIANT ...".
#include <algorithm>
#include <array>
#include <string_view>
#include <utility>
#include <vector>

namespace leeward::analysis {

class WordTable {
 public:
  template <std::size_t N>
  explicit WordTable(const std::array<const char*, N>& lines) {
    for (std::string_view line : lines) add(line);
    // A word that several entries claim belongs to the first: stable, so the order of the published table decides.
    std::stable_sort(words_.begin(), words_.end(), byWord);
    std::stable_sort(primaries_.begin(), primaries_.end(), byWord);
  }

  /// The standard form of a word, "" for a word that isn't in the table.
  std::string_view standard(std::string_view word) const { return find(words_, word); }
  /// The primary (full) name of a standard form, "" for none.
  std::string_view primary(std::string_view standard) const { return find(primaries_, standard); }

 private:
  using Entry = std::pair<std::string_view, std::string_view>;
  static bool byWord(const Entry& a, const Entry& b) { return a.first < b.first; }

  static std::string_view next(std::string_view& line) {
    const std::size_t blank = std::min(line.find(' '), line.size());
    const std::string_view word = line.substr(0, blank);
    line.remove_prefix(std::min(blank + 1, line.size()));
    return word;
  }

  void add(std::string_view line) {
    const std::string_view primary = next(line);
    const std::string_view standard = next(line);
    words_.emplace_back(primary, standard);
    words_.emplace_back(standard, standard);
    primaries_.emplace_back(standard, primary);
    while (!line.empty()) words_.emplace_back(next(line), standard);
  }

  static std::string_view find(const std::vector<Entry>& entries, std::string_view word) {
    const auto at = std::lower_bound(entries.begin(), entries.end(), Entry(word, {}), byWord);
    return at != entries.end() && at->first == word ? at->second : std::string_view{};
  }

  std::vector<Entry> words_;
  std::vector<Entry> primaries_;
};

}  // namespace leeward::analysis
