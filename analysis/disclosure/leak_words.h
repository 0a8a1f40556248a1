#pragma once
/// What the leak check looks at of a word, and the private homes by number. Internal to analysis/disclosure.
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "analysis/disclosure/leaks.h"

namespace leeward::analysis {

bool anyDigit(std::string_view text);

/// What is looked at of one word; made once for each different word.
struct LeakWord {
  std::string folded;      ///< of names
  std::string comparable;  ///< of streets
  std::int64_t number = -1;  ///< a house number
  bool is_direction = false, is_type = false, is_bare_number = false, is_number_word = false;
};

LeakWord leakWord(const std::string& word);

/// A street as it may be met: words in comparable form, joined.
struct StreetForm {
  std::string core;
  bool needs_type = false;  ///< a bare figure or a letter or two says nothing without "St" beside it
};

/// The streets at which a private home has a number.
class PrivateStreets {
 public:
  explicit PrivateStreets(const std::vector<PrivateFacts::Home>& homes);
  /// Ascending by core; null if no home has it.
  const std::vector<StreetForm>* of(std::int64_t number) const;

 private:
  void add(int number, const std::string& core);
  std::unordered_map<std::int64_t, std::vector<StreetForm>> forms_;
};

}  // namespace leeward::analysis
