#include "analysis/outcomes/history.h"

#include <algorithm>
#include <map>
#include <string_view>
#include <tuple>

namespace leeward::analysis {
namespace {

bool isLeaving(Told told) { return told == Told::GivenUp || told == Told::Moved || told == Told::Died || told == Told::LostContact; }

Standing standingOf(Told told) {
  switch (told) {
    case Told::GivenUp: return Standing::GivenUp;
    case Told::Moved: return Standing::Moved;
    case Told::Died: return Standing::Died;
    case Told::LostContact: return Standing::LostContact;
    default: return Standing::There;
  }
}

/// Of two words of one day the one that ends more outweighs.
int weightOf(Told told) { return told == Told::Died ? 3 : told == Told::GivenUp ? 2 : told == Told::Moved ? 1 : 0; }

std::vector<ToldOutcome> inOrder(std::vector<ToldOutcome> told) {
  std::ranges::stable_sort(told, [](const auto& a, const auto& b) { return a.date != b.date ? a.date < b.date : weightOf(a.told) < weightOf(b.told); });
  return told;
}

std::optional<Date> lastSeen(const AnimalHistory& history) {
  const auto latest = std::ranges::max_element(history.seen);
  return latest == history.seen.end() ? std::nullopt : std::optional(*latest);
}

/// Whether the animal is there, and since when not.
void findStanding(const AnimalHistory& history, const std::vector<ToldOutcome>& told, AnimalOutcome& outcome) {
  const auto last_seen = lastSeen(history);
  for (const auto& word : told) {
    if (last_seen && word.date < *last_seen) continue;
    if (word.told == Told::Returned) {
      outcome.standing = Standing::There, outcome.since.reset(), outcome.followed.clear();
    } else if (isLeaving(word.told)) {
      outcome.standing = standingOf(word.told);
      if (!outcome.since) outcome.since = word.date;
      if (word.told == Told::GivenUp) outcome.followed = word.followed;
    }
  }
}

bool hasTwoEndings(const std::vector<ToldOutcome>& told) {
  std::map<Date, Told> ending;
  return std::ranges::any_of(told, [&](const auto& word) {
    if (!isLeaving(word.told)) return false;
    const auto [at, is_new] = ending.emplace(word.date, word.told);
    return !is_new && at->second != word.told;
  });
}

bool isSeenAfterDeath(const AnimalHistory& history, const std::vector<ToldOutcome>& told) {
  return std::ranges::any_of(told, [&](const auto& death) {
    if (death.told != Told::Died) return false;
    if (std::ranges::any_of(history.seen, [&](Date day) { return day > death.date; })) return true;
    return std::ranges::any_of(told, [&](const auto& later) { return later.date > death.date && later.told != Told::Died && later.told != Told::Referred; });
  });
}

bool isWordAgainstChecks(const AnimalHistory& history, const std::vector<ToldOutcome>& told, const ImprovedRule& rule) {
  return std::ranges::any_of(told, [&](const auto& word) {
    if (word.told != Told::Improved && word.told != Told::Worse) return false;
    const auto change = judge(history.found, rule, word.date).change;
    return change == (word.told == Told::Improved ? Change::Worse : Change::Improved);
  });
}

bool differ(const std::string& a, const std::string& b) { return !a.empty() && !b.empty() && a != b; }

}  // namespace

AnimalOutcome outcomeOf(const AnimalHistory& history, const ImprovedRule& rule) {
  AnimalOutcome outcome;
  const auto told = inOrder(history.told);
  findStanding(history, told, outcome);
  for (const auto& word : told) {
    if (word.told == Told::Neutered && !outcome.neutered) outcome.neutered = word.date;
  }
  const ConditionCheck* latest_left = nullptr;
  for (const auto& check : history.left) {
    if (latest_left == nullptr || check.date >= latest_left->date) latest_left = &check;  // of several on one day the last given
  }
  if (latest_left != nullptr) outcome.in_need = isInNeed(*latest_left);
  if (history.confusable) {
    outcome.judgement.why_not = WhyNot::Confusable;
    if (!history.found.empty()) outcome.unclear.push_back(Unclear::Confusable);
  } else {
    outcome.judgement = judge(history.found, rule);
    if (outcome.judgement.why_not == WhyNot::ScaleChanged) outcome.unclear.push_back(Unclear::ScaleChanged);
  }
  if (isSeenAfterDeath(history, told)) outcome.unclear.push_back(Unclear::SeenAfterDeath);
  if (hasTwoEndings(told)) outcome.unclear.push_back(Unclear::TwoEndings);
  if (!history.confusable && isWordAgainstChecks(history, told, rule)) outcome.unclear.push_back(Unclear::WordAgainstChecks);
  return outcome;
}

std::vector<Date> givenUpDays(const AnimalHistory& history) {
  std::vector<Date> days;
  bool is_back = false;
  for (const auto& word : inOrder(history.told)) {
    if (word.told == Told::Returned) {
      if (days.empty()) days.push_back(word.date);  // the one word of it: given up, and returned since
      is_back = true;
    }
    if (word.told != Told::GivenUp) continue;
    const bool anew = days.empty() || is_back ||
                      std::ranges::any_of(history.seen, [&](Date day) { return day > days.back() && day <= word.date; });
    if (anew) days.push_back(word.date), is_back = false;
  }
  return days;
}

std::vector<bool> confusableAnimals(const std::vector<Animal>& animals) {
  std::vector<bool> confusable(animals.size());
  std::map<std::tuple<std::int64_t, std::string_view, std::string_view>, std::vector<std::size_t>> alike;
  for (std::size_t i = 0; i < animals.size(); ++i) {
    if (animals[i].premises >= 0) alike[{animals[i].premises, animals[i].kind, animals[i].folded_name}].push_back(i);
  }
  for (const auto& [key, group] : alike) {
    for (std::size_t a = 0; a < group.size(); ++a) {
      for (std::size_t b = a + 1; b < group.size(); ++b) {
        const Animal &one = animals[group[a]], &other = animals[group[b]];
        if (differ(one.sex, other.sex) || differ(one.description, other.description)) continue;
        confusable[group[a]] = confusable[group[b]] = true;
      }
    }
  }
  return confusable;
}

const char* words(Standing standing) {
  switch (standing) {
    case Standing::There: return "there";
    case Standing::GivenUp: return "given up";
    case Standing::Moved: return "moved";
    case Standing::Died: return "died";
    case Standing::LostContact: return "lost contact";
  }
  return "";
}

const char* words(Unclear unclear) {
  switch (unclear) {
    case Unclear::Confusable: return "another animal there can't be told from it";
    case Unclear::ScaleChanged: return "body condition by two scales that don't agree";
    case Unclear::SeenAfterDeath: return "seen or written of after it was said to have died";
    case Unclear::TwoEndings: return "gone in two ways on one day";
    case Unclear::WordAgainstChecks: return "the crew's word says the opposite of the checks";
  }
  return "";
}

const char* words(Change change) {
  switch (change) {
    case Change::NotComparable: return "not comparable";
    case Change::Improved: return "improved";
    case Change::Unchanged: return "unchanged";
    case Change::Worse: return "worse";
  }
  return "";
}

const char* words(WhyNot why) {
  switch (why) {
    case WhyNot::Compared: return "";
    case WhyNot::NoFullCheck: return "no full check";
    case WhyNot::OneFullCheck: return "one full check";
    case WhyNot::TooClose: return "full checks too close together";
    case WhyNot::ScaleChanged: return "body condition by two scales";
    case WhyNot::Confusable: return "another animal there can't be told from it";
  }
  return "";
}

}  // namespace leeward::analysis
