#include "analysis/disclosure/leaks.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <optional>
#include <set>
#include <unordered_map>
#include <unordered_set>

#include "analysis/disclosure/leak_words.h"
#include "analysis/disclosure/near_homes.h"
#include "analysis/place/street_name.h"
#include "analysis/sightings/folding.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr std::size_t kWordsOfAStreet = 5;
constexpr std::size_t kSlipLetters = 5;  ///< names from here on may hold a slip
constexpr std::size_t kPairReach = 200;  ///< bytes between the two numbers of a position

bool isWordByte(char c) {
  const auto u = static_cast<unsigned char>(c);
  return isDigit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (u >= 0xC3 && u <= 0xF4);  // 0x80-0xBF go on, 0xC2 leads signs, 0xF5 and above are no text
}
bool goesOn(char c) { return isWordByte(c) || (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; }

struct WordAt {
  const LeakWord* facts = nullptr;
  std::size_t at = 0, end = 0;
};

}  // namespace

struct LeakFinder::Index {
  PrivateStreets homes;
  std::unordered_map<std::string, std::vector<std::vector<std::string>>> names;  ///< by first word
  std::unordered_set<std::string> single, phones;
  std::vector<NearHomes> near;
  std::set<std::pair<std::int64_t, std::int64_t>> told;

  static std::pair<std::int64_t, std::int64_t> exactly(Point p) { return {std::llround(p.x * 1e7), std::llround(p.y * 1e7)}; }

  explicit Index(const PrivateFacts& facts) : homes(facts.homes) {
    for (const auto& name : facts.names) addName(name);
    for (const auto& name : facts.single_names) single.insert(foldWords(name));
    single.erase("");
    for (const auto& phone : facts.phones) {
      std::string digits;
      std::ranges::copy_if(phone, std::back_inserter(digits), isDigit);
      if (digits.size() == 11 && digits.front() == '1') digits.erase(0, 1);
      if (digits.size() >= 7) phones.insert(digits);
      if (digits.size() == 10) phones.insert(digits.substr(3));
    }
    near.emplace_back(facts.lon_lat, !facts.is_local, facts.near_m);
    for (const Point p : facts.told_before) told.insert(exactly(p));
    for (const auto& points : facts.projected) near.emplace_back(points, false, facts.near_m);
  }

  void addName(const std::string& name) {
    std::vector<std::string> words;
    const std::string folded = foldWords(name);
    for (const auto word : split(folded, ' ')) {
      if (!word.empty()) words.emplace_back(word);
    }
    if (words.empty()) return;
    if (words.size() == 1) return void(single.insert(words.front()));
    names[words.front()].push_back(words);
    std::rotate(words.begin(), words.end() - 1, words.end());  // "Lopez, Maria"
    names[words.front()].push_back(words);
  }

  bool isTold(Point p) const { return told.contains(exactly(p)) || told.contains(exactly({p.y, p.x})); }
  bool isNear(Point p) const {
    if (isTold(p)) return false;
    return std::ranges::any_of(near, [&](const NearHomes& one) { return one.holds(p) || one.holds({p.y, p.x}); });
  }
};

namespace {

/// One reading of one text.
template <class Index>
class TextReader {
 public:
  TextReader(const Index& index, std::string_view text, LeakCount& found) : index_(index), text_(text), found_(found) {}

  void read() {
    splitWords();
    for (std::size_t i = 0; i < words_.size(); ++i) {
      lookForAddress(i);
      lookForName(i);
    }
    lookForPhones();
    lookForPositions();
  }

 private:
  void report(LeakKind kind, std::size_t at) {
    if (found_.leaks.size() >= kMostLeaks) return;
    while (counted_ < at) lines_ += text_[counted_++] == '\n' ? 1 : 0;
    if (at < counted_) lines_ = static_cast<std::size_t>(std::count(text_.begin(), text_.begin() + static_cast<std::ptrdiff_t>(at), '\n')), counted_ = at;
    found_.leaks.push_back({kind, at, lines_ + 1});
  }

  void splitWords() {
    std::string word;
    for (std::size_t at = 0; at < text_.size();) {
      if (!isWordByte(text_[at])) {
        ++at;
        continue;
      }
      std::size_t end = at;
      word.clear();
      while (end < text_.size() && end - at < 64) {
        if (goesOn(text_[end])) word += text_[end++];
        // "O'Neil", and the figures of "1,204"
        else if (text_[end] == '\'' && end + 1 < text_.size() && goesOn(text_[end + 1]) && !isDigit(text_[end + 1])) ++end;
        else if (text_[end] == ',' && isThousands(at, end)) ++end;
        else break;
      }
      auto [known, is_new] = facts_.try_emplace(word);
      if (is_new) known->second = leakWord(word);
      words_.push_back({&known->second, at, end});
      at = end;
    }
  }
  bool isThousands(std::size_t at, std::size_t comma) const {
    const auto figures = [&](std::size_t from, std::size_t to) { return to <= text_.size() && allDigits(text_.substr(from, to - from)); };
    return comma - at <= 3 && figures(at, comma) && figures(comma + 1, comma + 4) && (comma + 4 == text_.size() || !isWordByte(text_[comma + 4]));
  }

  /// Whether two words that follow each other can be of one line of writing: little between them, nothing that only bytes of numbers have, and the
  /// second is no attribute's name (max="12" width=).
  bool areJoined(std::size_t i, std::size_t j) const {
    constexpr std::size_t kFarthest = 40;
    const auto between = text_.substr(words_[i].end, words_[j].at - words_[i].end);
    if (between.size() > kFarthest || text_.substr(words_[j].end, 2) == "=\"") return false;
    const auto isOdd = [](char byte) { return static_cast<unsigned char>(byte) < ' ' && byte != '\t' && byte != '\n' && byte != '\r' && byte != '\0'; };
    constexpr std::ptrdiff_t kLines = 2;  // bytes that are no writing come as line ends
    return std::ranges::none_of(between, isOdd) && std::ranges::count(between, '\0') <= 1 && std::ranges::count(between, '\n') <= kLines;
  }
  bool hasType(std::size_t from, std::size_t to) const {
    for (std::size_t i = from; i < std::min(to, words_.size()); ++i) {
      if (words_[i].facts->is_type) return true;
    }
    return false;
  }

  bool isStreet(const std::vector<StreetForm>& forms, const std::string& core, bool is_bare, bool has_type) const {
    const auto exact = std::ranges::lower_bound(forms, core, {}, &StreetForm::core);
    if (exact != forms.end() && exact->core == core && (!(exact->needs_type && is_bare) || has_type)) return true;
    if (core.size() < kSlipLetters || anyDigit(core)) return false;
    return std::ranges::any_of(forms, [&](const StreetForm& form) {
      return form.core.size() >= kSlipLetters && form.core.front() == core.front() && std::max(form.core.size(), core.size()) - std::min(form.core.size(), core.size()) <= 1 && !anyDigit(form.core) &&
             slipsBetween(form.core, core, 1) <= 1;
    });
  }

  void lookForAddress(std::size_t i) {
    const LeakWord& number = *words_[i].facts;
    if (number.number < 0) return;
    const auto* forms = index_.homes.of(number.number);
    if (forms == nullptr) return;
    if (isAddressFrom(*forms, i, number.is_number_word)) report(LeakKind::Address, words_[i].at);
  }

  bool isAddressFrom(const std::vector<StreetForm>& forms, std::size_t i, bool in_words) const {
    for (std::size_t start = i + 1; start < std::min(i + 3, words_.size()); ++start) {
      if (!areJoined(start - 1, start)) break;
      if (start > i + 1 && !words_[start - 1].facts->is_direction && words_[start - 1].facts->folded.size() > 3) break;  // "12 B Elm St", "12 N Elm St"
      std::string core;
      bool bare = true;
      for (std::size_t end = start; end < std::min(start + kWordsOfAStreet, words_.size()); ++end) {
        if (end > start && !areJoined(end - 1, end)) break;
        core += words_[end].facts->comparable;
        bare = bare && (words_[end].facts->is_bare_number || words_[end].facts->folded.size() < 3);
        const bool type = hasType(start, end + 2) || (start > i + 1 && words_[start - 1].facts->is_type);
        if (isStreet(forms, core, bare, type) && (!in_words || type)) return true;
      }
    }
    // The number after the street: "Elm Street 12", "Elm St. No. 12"
    std::size_t last = i;
    while (last > 0 && i - last < 3 && isBetween(*words_[last - 1].facts)) --last;
    for (std::size_t skip = 0; skip < 2 && last > skip && !in_words; ++skip) {
      if (skip == 1 && !words_[last - 1].facts->is_type && !words_[last - 1].facts->is_direction) break;
      std::string core;
      bool bare = true;
      for (std::size_t count = 1; count <= kWordsOfAStreet && count + skip <= last; ++count) {
        const LeakWord& word = *words_[last - skip - count].facts;
        if (last - skip - count + 1 < words_.size() && !areJoined(last - skip - count, last - skip - count + 1)) break;
        core = word.comparable + core;
        bare = bare && (word.is_bare_number || word.folded.size() < 3);
        const bool type = (skip == 1 && !bare) || hasType(last - count - skip, last);  // "6 W 1" is no house in Sixth Street
        if (type && isStreet(forms, core, true, type)) return true;
      }
    }
    return false;
  }
  static bool isBetween(const LeakWord& word) { return word.folded == "no" || word.folded == "nr" || word.folded == "number" || word.folded == "num" || word.folded == "house"; }

  void lookForName(std::size_t i) {
    const std::string& first = words_[i].facts->folded;
    if (index_.single.contains(first)) ++found_.single_names;
    const auto known = index_.names.find(first);
    if (known == index_.names.end()) return;
    for (const auto& name : known->second) {
      bool same = i + name.size() <= words_.size();
      for (std::size_t w = 1; same && w < name.size(); ++w) same = words_[i + w].facts->folded == name[w] && words_[i + w].at - words_[i + w - 1].end <= 40;
      if (same) return report(LeakKind::Name, words_[i].at);
    }
  }

  /// Figures in the groups in which people write a telephone, with their usual signs between.
  void lookForPhones() {
    if (index_.phones.empty()) return;
    for (std::size_t i = 0; i < words_.size(); ++i) {
      if (!words_[i].facts->is_bare_number) continue;
      std::string digits;
      std::size_t groups = 0, previous = 0;
      for (std::size_t j = i; j < words_.size() && words_[j].facts->is_bare_number && digits.size() <= 11; ++j) {
        if (j > i && !joins(words_[j - 1].end, words_[j].at)) break;
        previous = digits.size();
        // In a database's bytes the next field may follow without a gap: then the first four figures of the last group count.
        if (groups >= 1 && words_[j].facts->folded.size() > 4 && index_.phones.contains(digits + words_[j].facts->folded.substr(0, 4))) {
          report(LeakKind::Phone, words_[i].at);
          i = j;
          break;
        }
        digits += words_[j].facts->folded;
        ++groups;
        const bool grouped = groups == 1 || digits.size() - previous == 4 || digits.size() - previous == 7 || (groups == 2 && previous == 1 && digits.size() == 11);
        std::string bare = digits.size() == 11 && digits.front() == '1' ? digits.substr(1) : digits;
        if (grouped && (bare.size() == 7 || bare.size() >= 10) && index_.phones.contains(bare)) {
          report(LeakKind::Phone, words_[i].at);
          i = j;
          break;
        }
      }
    }
  }
  bool joins(std::size_t from, std::size_t to) const {
    return to - from <= 3 && text_.substr(from, to - from).find_first_not_of(" -.()/\xC2\xA0") == std::string_view::npos;
  }

  struct NumberAt {
    double value;
    std::size_t at, end;
  };
  /// Numbers with four decimals or more, and degrees with minutes.
  std::optional<NumberAt> numberAt(std::size_t& at) const {
    const std::size_t start = at;
    std::size_t end = at;
    while (end < text_.size() && isDigit(text_[end])) ++end;
    const bool signed_minus = start > 0 && text_[start - 1] == '-';
    std::size_t decimals = 0;
    if (end < text_.size() && text_[end] == '.') {
      std::size_t more = end + 1;
      while (more < text_.size() && isDigit(text_[more])) ++more, ++decimals;
      if (decimals > 0) end = more;
    }
    at = end;
    const auto value = parseNumber(text_.substr(start, std::min<std::size_t>(end - start, 40)));
    if (!value) return std::nullopt;
    const std::string_view rest = text_.substr(end, 3);
    if (rest.starts_with("\xC2\xB0") || rest.starts_with("\xC2\xBA") || rest.starts_with("deg")) {
      if (auto whole = withMinutes(*value, start, end + (rest.starts_with("deg") ? 3 : 2), signed_minus)) {
        at = whole->end;
        return whole;
      }
    }
    const bool is_metres = *value >= 10'000 && (decimals > 0 || end - start >= 6);
    if (decimals < 4 && !is_metres) return std::nullopt;
    double signed_value = signed_minus ? -*value : *value;
    if (const auto side = sideAfter(end); side == 'S' || side == 'W') signed_value = -*value;
    return NumberAt{signed_value, start, end};
  }
  char sideAfter(std::size_t at) const {
    while (at < text_.size() && (text_[at] == ' ' || text_[at] == '"' || text_[at] == '\'')) ++at;
    const bool alone = at + 1 >= text_.size() || !isWordByte(text_[at + 1]);
    return at < text_.size() && alone ? text_[at] : '\0';
  }
  std::optional<NumberAt> withMinutes(double degrees, std::size_t start, std::size_t at, bool minus) const {
    double value = degrees;
    for (const double share : {60.0, 3600.0}) {
      while (at < text_.size() && text_[at] == ' ') ++at;
      std::size_t end = at;
      while (end < text_.size() && (isDigit(text_[end]) || text_[end] == '.')) ++end;
      const auto part = parseNumber(text_.substr(at, std::min<std::size_t>(end - at, 20)));
      if (!part || end == at) break;
      value += *part / share;
      at = end;
      while (at < text_.size() && (text_[at] == '\'' || text_[at] == '"' || static_cast<unsigned char>(text_[at]) >= 0x80)) ++at;
    }
    const char side = sideAfter(at);
    return NumberAt{minus || side == 'S' || side == 'W' ? -value : value, start, at};
  }

  /// Two numbers make a position if neither stands nearer to another; a line's end counts as a long way, so that the end of one row doesn't
  /// join the beginning of the next.
  void lookForPositions() {
    std::vector<NumberAt> numbers;
    for (std::size_t at = 0; at < text_.size();) {
      if (!isDigit(text_[at]) || (at > 0 && (isDigit(text_[at - 1]) || text_[at - 1] == '.'))) {
        ++at;
        continue;
      }
      const auto number = numberAt(at);
      if (number && isCoordinate(number->value)) numbers.push_back(*number);
    }
    std::vector<std::size_t> gap(numbers.size() + 1, kPairReach + 1);  // before each number, and behind the last
    for (std::size_t i = 1; i < numbers.size(); ++i) {
      const auto between = text_.substr(numbers[i - 1].end, std::min(numbers[i].at - numbers[i - 1].end, kPairReach + 1));
      gap[i] = between.size() + (between.find('\n') == std::string_view::npos ? 0 : kPairReach / 2);
    }
    for (std::size_t i = 1; i < numbers.size(); ++i) {
      if (gap[i] > kPairReach || gap[i] > gap[i - 1] || gap[i] > gap[i + 1]) continue;
      if (index_.isNear({numbers[i - 1].value, numbers[i].value})) report(LeakKind::Position, numbers[i - 1].at);
    }
  }
  bool isCoordinate(double value) const {
    return std::ranges::any_of(index_.near, [&](const NearHomes& one) { return one.isRoundAbout(value); });
  }

  const Index& index_;
  std::string_view text_;
  LeakCount& found_;
  std::unordered_map<std::string, LeakWord> facts_;
  std::vector<WordAt> words_;
  std::size_t counted_ = 0, lines_ = 0;
};

double doubleAt(std::string_view bytes, std::size_t at, bool big_endian) {
  std::uint64_t bits = 0;
  std::memcpy(&bits, bytes.data() + at, sizeof bits);
  if (big_endian) bits = __builtin_bswap64(bits);
  double value = 0;
  std::memcpy(&value, &bits, sizeof value);
  return value;
}

}  // namespace

const char* leakWords(LeakKind kind) {
  switch (kind) {
    case LeakKind::Address:
      return "a house number with its street";
    case LeakKind::Phone:
      return "a telephone number";
    case LeakKind::Name:
      return "a full name";
    case LeakKind::Position:
      return "a position beside a private home";
  }
  return "";
}

LeakFinder::LeakFinder(const PrivateFacts& facts) : index_(std::make_unique<Index>(facts)) {}
LeakFinder::~LeakFinder() = default;
LeakFinder::LeakFinder(LeakFinder&&) noexcept = default;
LeakFinder& LeakFinder::operator=(LeakFinder&&) noexcept = default;

void LeakFinder::readText(std::string_view text, LeakCount& found) const { TextReader<Index>(*index_, text, found).read(); }

void LeakFinder::readNumbers(std::string_view bytes, LeakCount& found) const {
  for (std::size_t at = 0; at + 16 <= bytes.size(); ++at) {
    for (const bool big : {false, true}) {
      const double first = doubleAt(bytes, at, big);
      for (const auto& near : index_->near) {
        if (!near.mayBeX(first) && !near.mayBeY(first)) continue;
        const double second = doubleAt(bytes, at + 8, big);
        if ((!near.holds({first, second}) && !near.holds({second, first})) || index_->isTold({first, second})) continue;
        if (found.leaks.size() < kMostLeaks) found.leaks.push_back({LeakKind::Position, at, 0});
        break;
      }
    }
  }
}

bool LeakFinder::isNearHome(Point lon_lat) const { return index_->near.front().holds(lon_lat); }

}  // namespace leeward::analysis
