#pragma once
/// A published table of words as it stands in code: one line an entry, "PRIMARY STANDARD VARIANT VARIANT ...".
#include <algorithm>
#include <array>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

namespace leeward::analysis {

class WordTable {
 public:
  template <std::size_t N>
  explicit WordTable(const std::array<const char*, N>& lines) {
    for (std::string_view line : lines) add(line);
    // A word that several entries claim belongs to the first: the order of the published table decides.
    words_ = Lookup(word_entries_);
    primaries_ = Lookup(primary_entries_);
  }

  /// The standard form of a word, "" for a word that isn't in the table.
  std::string_view standard(std::string_view word) const { return words_.find(word); }
  /// The primary (full) name of a standard form, "" for none.
  std::string_view primary(std::string_view standard) const { return primaries_.find(standard); }

 private:
  using Entry = std::pair<std::string_view, std::string_view>;

  /// Open addressing, a third full: nearly every word of a line is looked up in every table, and most are in none.
  class Lookup {
   public:
    Lookup() = default;
    explicit Lookup(const std::vector<Entry>& entries) {
      std::size_t size = 4;
      while (size < 3 * entries.size()) size *= 2;
      slots_.resize(size);
      for (const Entry& entry : entries) {
        Entry& slot = slots_[at(entry.first)];
        if (slot.first.empty()) slot = entry;
      }
    }
    std::string_view find(std::string_view word) const { return word.empty() ? std::string_view{} : slots_[at(word)].second; }

   private:
    /// The slot that holds the word, or the free one where it would stand.
    std::size_t at(std::string_view word) const {
      std::uint32_t hash = 2166136261U;
      for (const char c : word) hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
      std::size_t i = (hash ^ (hash >> 15)) & (slots_.size() - 1);
      while (!slots_[i].first.empty() && slots_[i].first != word) i = (i + 1) & (slots_.size() - 1);
      return i;
    }
    std::vector<Entry> slots_;
  };

  static std::string_view next(std::string_view& line) {
    const std::size_t blank = std::min(line.find(' '), line.size());
    const std::string_view word = line.substr(0, blank);
    line.remove_prefix(std::min(blank + 1, line.size()));
    return word;
  }

  void add(std::string_view line) {
    const std::string_view primary = next(line);
    const std::string_view standard = next(line);
    word_entries_.emplace_back(primary, standard);
    word_entries_.emplace_back(standard, standard);
    primary_entries_.emplace_back(standard, primary);
    while (!line.empty()) word_entries_.emplace_back(next(line), standard);
  }

  std::vector<Entry> word_entries_, primary_entries_;
  Lookup words_, primaries_;
};

}  // namespace leeward::analysis
