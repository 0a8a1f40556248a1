#include "analysis/disclosure/leak_words.h"

#include <algorithm>
#include <array>

#include "analysis/place/house_number.h"
#include "analysis/place/postal_words.h"
#include "analysis/place/street_name.h"
#include "analysis/sightings/folding.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr std::array<std::string_view, 20> kNumberWords = {"ONE",    "TWO",    "THREE",    "FOUR",     "FIVE",    "SIX",     "SEVEN",     "EIGHT",    "NINE",     "TEN",
                                                           "ELEVEN", "TWELVE", "THIRTEEN", "FOURTEEN", "FIFTEEN", "SIXTEEN", "SEVENTEEN", "EIGHTEEN", "NINETEEN", "TWENTY"};

std::int64_t leadingNumber(std::string_view word) {
  std::int64_t value = 0;
  std::size_t digits = 0;
  while (digits < word.size() && isDigit(word[digits]) && digits < 9) value = value * 10 + (word[digits++] - '0');
  if (digits == 0 || word.size() > digits + 2) return -1;
  return value;
}

}  // namespace

bool anyDigit(std::string_view text) { return text.find_first_of("0123456789") != std::string_view::npos; }

LeakWord leakWord(const std::string& word) {
  LeakWord facts;
  facts.folded = foldWords(word);
  const std::string upper = upperAscii(facts.folded);
  facts.comparable = comparable(upper);
  const std::string_view ending = std::string_view(upper).substr(std::min(upper.find_first_not_of("0123456789"), upper.size()));
  const bool is_ordinal = ending == "ST" || ending == "ND" || ending == "RD" || ending == "TH";
  facts.number = is_ordinal ? -1 : leadingNumber(upper);
  facts.is_bare_number = allDigits(upper);
  if (facts.number < 0) {
    const auto spelled = std::ranges::find(kNumberWords, upper);
    facts.is_number_word = spelled != kNumberWords.end();
    if (facts.is_number_word) facts.number = spelled - kNumberWords.begin() + 1;
  }
  facts.is_direction = !standardDirection(upper).empty();
  facts.is_type = !standardType(upper).empty();
  return facts;
}

PrivateStreets::PrivateStreets(const std::vector<PrivateFacts::Home>& homes) {
  for (const auto& home : homes) {
    const auto number = readHouseNumber(home.number);
    if (!number || trim(home.street).empty()) continue;
    const auto words = streetWords(home.street);
    std::string joined;
    for (const auto& word : words) joined += comparable(word);
    add(number->number, joined);
    for (const auto& reading : streetReadings(words)) add(number->number, reading.core);
  }
  for (auto& [number, forms] : forms_) {
    std::ranges::sort(forms, {}, &StreetForm::core);
    forms.erase(std::unique(forms.begin(), forms.end(), [](const StreetForm& a, const StreetForm& b) { return a.core == b.core; }), forms.end());
  }
}

const std::vector<StreetForm>* PrivateStreets::of(std::int64_t number) const {
  const auto found = forms_.find(number);
  return found == forms_.end() ? nullptr : &found->second;
}

void PrivateStreets::add(int number, const std::string& core) {
  if (!core.empty()) forms_[number].push_back({core, allDigits(core) || core.size() < 3});
}

}  // namespace leeward::analysis
