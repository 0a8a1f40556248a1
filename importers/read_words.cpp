// The short lists of words: looks, reasons, door results, outcomes, checks, scales.
#include <array>
#include <span>

#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// A word of the ledger and what people write for it ('|' between, lower case, blanks for all punctuation).
struct Word {
  std::string_view word;
  std::string_view typed;
};

/// Lower case, '_', '-' and other ASCII punctuation as blanks, runs of blanks as one.
std::string plain(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool kept = static_cast<unsigned char>(c) >= 0x80 || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (kept) out += c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
    else if (c == '\'') continue;
    else if (!out.empty() && out.back() != ' ') out += ' ';
  }
  if (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

bool listHolds(std::string_view list, std::string_view item) {
  for (std::size_t at = list.find(item); at != std::string_view::npos; at = list.find(item, at + 1)) {
    const std::size_t end = at + item.size();
    if ((at == 0 || list[at - 1] == '|') && (end == list.size() || list[end] == '|')) return true;
  }
  return false;
}

std::optional<std::string_view> match(std::span<const Word> words, std::string_view text) {
  for (const Word& word : words) {
    if (text == word.word) return word.word;  // as the template writes it: no need to tidy
  }
  const std::string typed = plain(text);
  if (typed.empty()) return std::nullopt;
  for (const Word& word : words) {
    if (plain(word.word) == typed || listHolds(word.typed, typed)) return word.word;
  }
  return std::nullopt;
}

Reading<std::string_view> readWord(std::span<const Word> words, std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  if (const auto word = match(words, text)) return {word, {}};
  std::vector<std::string> known;
  for (const Word& word : words) known.emplace_back(word.word);
  return {{}, "the word is not known here; write one of: " + join(known, ", ")};
}

constexpr auto kLooks = std::to_array<Word>({
    {"knock", "door|knocked|door knock|doorknock|at the door|visit|home visit|house call|knock on door|yard|in person"},
    {"street", "street view|from street|from the street|from road|drive by|driveby|drive|walk by|walkby|sidewalk|outside|public ground|seen from street"},
    {"call", "phone|phone call|called|telephone|text|sms|message"},
    {"track", "gps|gps track|track passing|passed on track"},
});
constexpr auto kWhyHere = std::to_array<Word>({
    {"planned", "planned round|round|route|plan|canvass|canvassing|systematic|assigned|list|scheduled round"},
    {"passing", "passing by|passed|in passing|chance|by chance|drive by|happened by|on the way"},
    {"caller", "call|caller report|complaint|report|reported|tip|neighbor|neighbour|neighbor called|neighbour called|hotline|referral in"},
    {"owner_asked", "owner|owner request|owner requested|request|requested|owner called|asked by owner|client request"},
    {"return", "follow up|followup|revisit|return visit|re visit|recheck|service|known client|client|again|due"},
});
constexpr auto kDoorResults = std::to_array<Word>({
    {"welcomed", "welcome|met|spoke|talked|talked to owner|spoke with owner|owner home|permission|permission given|allowed|accepted|agreed|let in|home|answered"},
    {"declined", "refused|refusal|not interested|no thanks|denied|turned away|declined help"},
    {"asked_not_to_return", "do not return|dont return|do not come back|dont come back|no return|never return|do not visit|asked us not to return|asked to leave"},
    {"nobody_home", "not home|no answer|nobody|no one home|noone home|nh|no response|away|out|not in|left note|note left"},
    {"no_dog", "no dog here|no dogs|no animals|no dog seen|no pets|no dog found|dog gone"},
    {"no_access", "gated|gate locked|locked gate|blocked|no entry|inaccessible|cannot access|could not reach|loose dog|unsafe"},
    {"vacant", "empty|vacant lot|abandoned|vacant house|unoccupied|demolished|empty lot|moved out"},
});
constexpr auto kOutcomes = std::to_array<Word>({
    {"given_up", "surrendered|surrender|gave up|taken in|relinquished|owner surrender|given up to us"},
    {"improved", "better|improvement"},
    {"unchanged", "same|no change|as before|no changes"},
    {"worse", "worsened|deteriorated"},
    {"neutered", "spayed|spay|neuter|fixed|altered|spayed neutered|castrated|sterilised|sterilized"},
    {"moved", "moved away|relocated|moved out|gone with owner"},
    {"died", "dead|deceased|passed away|death|found dead"},
    {"lost_contact", "lost|no contact|lost touch|cannot find"},
    {"referred", "referral|reported|referred to authority|case filed|handed over"},
});
constexpr auto kFollowed = std::to_array<Word>({
    {"veterinarian", "vet|clinic|hospital"},
    {"foster", "fostered|foster home"},
    {"shelter", "kennel|to shelter"},
    {"adopted", "adoption|new home|rehomed"},
    {"returned", "back to owner|returned to owner"},
    {"euthanised", "euthanized|put to sleep|put down"},
});
constexpr auto kSightingWhat = std::to_array<Word>({
    {"dog", "dogs|animal|puppy|puppies|stray|seen|chained dog|tethered dog|dog outside"},
    {"house", "doghouse|dog house|kennel house|shelter|igloo|hut"},
    {"pen", "kennel|run|cage|dog run|enclosure|fenced pen"},
    {"chain", "tether|tie out|tieout|cable|rope|leash|empty chain"},
    {"sign", "warning sign|beware of dog|beware of dog sign|notice"},
    {"heard", "bark|barking|heard barking|howling|sound|noise"},
});
constexpr auto kSightingSource = std::to_array<Word>({
    {"crew", "team|us|volunteer|drive by|driver|staff|own|survey"},
    {"caller", "call|phone|neighbor|neighbour|hotline|public|report|tip|text|email|walk in|web form"},
    {"post", "social media|online|forum|message board|post online|posting"},
});
constexpr auto kChecks = std::to_array<Word>({
    // What can't apply to the animal (a tether where it isn't tied) is met. A bare NA is how software writes a missing value.
    {"met", "m|ok|okay|yes|y|good|fine|pass|passed|adequate|1|true|+|✓|✔|n a|not applicable|does not apply|doesnt apply"},
    {"unmet", "u|no|n|bad|poor|fail|failed|not met|0|false|✗|✘|inadequate"},
    {"not seen", "ns|unseen|not checked|unknown|unk|not known|na|not looked|could not see|hidden"},
});

}  // namespace

Reading<std::string_view> readLook(std::string_view text) { return readWord(kLooks, text); }
Reading<std::string_view> readWhyHere(std::string_view text) { return readWord(kWhyHere, text); }
Reading<std::string_view> readDoorResult(std::string_view text) { return readWord(kDoorResults, text); }
Reading<std::string_view> readSightingWhat(std::string_view text) { return readWord(kSightingWhat, text); }
Reading<std::string_view> readSightingSource(std::string_view text) { return readWord(kSightingSource, text); }

Reading<std::string_view> readOutcome(std::string_view text, std::string* followed) {
  text = trim(text);
  const std::size_t mark = text.find_first_of(":,>/(");
  std::string_view after;
  if (mark != std::string_view::npos) after = trim(text.substr(mark + 1)), text = trim(text.substr(0, mark));
  auto outcome = readWord(kOutcomes, text);
  if (outcome.bad() || after.empty()) return outcome;
  if (after.ends_with(')')) after.remove_suffix(1);
  const auto next = readWord(kFollowed, after);
  if (next.bad()) return {{}, "what followed the outcome: " + next.why};
  if (followed != nullptr) *followed = *next.value;
  return outcome;
}

Reading<std::string_view> readCheck(std::string_view text, bool plus_minus) {
  text = trim(text);
  if (text.empty()) return {};
  if (text == "+") return {"met", {}};
  if (text == "-" || text == "–") return {plus_minus ? "unmet" : "not seen", {}};
  if (text == "?") return {"not seen", {}};
  if (text == "x" || text == "X") return {{}, "an x can mean met or unmet; write met, unmet or not seen"};
  return readWord(kChecks, text);
}

Reading<bool> readYesNo(std::string_view text) {
  static constexpr auto kYesNo = std::to_array<Word>({
      {"yes", "y|true|t|1|x|✓|✔|left|given|done|note left"},
      {"no", "n|false|f|0|none|not|✗|✘"},
  });
  text = trim(text);
  if (text.empty()) return {};
  if (text == "-") return {false, {}};
  const auto word = match(kYesNo, text);
  if (!word) return {{}, "write yes or no"};
  return {*word == "yes", {}};
}

std::string tidyWord(std::string_view text) {
  static constexpr auto kWords = std::to_array<Word>({
      {"dog", "dogs|canine|k9|puppy|pup"},
      {"cat", "cats|feline|kitten"},
      {"male", "m|boy"},
      {"female", "f|girl"},
      {"yes", "y|altered|spayed|neutered|fixed|true|spayed neutered|castrated"},
      {"no", "n|intact|unaltered|false|not altered|not fixed"},
      {"unknown", "unk|u|not known|unsure"},
  });
  text = trim(text);
  if (text.empty()) return {};
  if (text == "?") return "unknown";
  if (const auto word = match(kWords, text)) return std::string(*word);
  return lowerAscii(text);
}

const std::vector<BodyScale>& bodyScales() {
  // Common practice, no published source for the first; thin-first scales of five and nine steps are in common use too.
  static const std::vector<BodyScale> scales = {
      {"five_ideal_first", 5, "1 ideal to 5 emaciated"},
      {"five_thin_first", 5, "1 thin to 5 fat"},
      {"nine_thin_first", 9, "1 thin to 9 fat"},
  };
  return scales;
}

Reading<const BodyScale*> readBodyScale(std::string_view text) {
  static constexpr auto kScales = std::to_array<Word>({
      {"five_ideal_first", "1 ideal to 5 emaciated|1 ideal 5 emaciated|ideal first|1 5 ideal first|1 ideal|5 emaciated|five step ideal first"},
      {"five_thin_first", "1 thin to 5 fat|1 thin 5 fat|1 5 thin first|1 emaciated 5 obese|1 thin to 5 obese|5 point thin first|1 5 low thin"},
      {"nine_thin_first", "1 thin to 9 fat|1 thin 9 fat|1 9|9|9 point|nine point|1 to 9|9 step|1 9 thin first|of 9|1 emaciated 9 obese"},
  });
  text = trim(text);
  if (text.empty()) return {};
  const auto word = match(kScales, text);
  if (!word) {
    return {{}, "the body condition scale is not known, or does not say which way it runs; write five_ideal_first (1 ideal to 5 emaciated), "
                "five_thin_first (1 thin to 5 fat) or nine_thin_first (1 thin to 9 fat)"};
  }
  for (const BodyScale& scale : bodyScales()) {
    if (scale.id == *word) return {&scale, {}};
  }
  return {};
}

}  // namespace leeward::importers
