#include "analysis/sightings/same_dog.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <unordered_map>

#include "analysis/sightings/folding.h"

namespace leeward::analysis {
namespace {

constexpr std::array<std::string_view, 19> kNoNames = {"unknown",  "unk",   "unnamed", "noname", "nameless", "none", "na",
                                                       "notknown", "nn",    "tbd",     "dog",    "dog1",     "dog2", "dog3",
                                                       "puppy",    "stray", "perro",   "cat",    "x"};

template <class Words>
bool isOneOf(std::string_view word, const Words& words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

std::string foldSex(std::string_view text) {
  static constexpr std::array<std::string_view, 7> kMale = {"m", "male", "boy", "mn", "mc", "macho", "he"};
  static constexpr std::array<std::string_view, 7> kFemale = {"f", "female", "girl", "fs", "bitch", "hembra", "she"};
  const auto folded = foldWords(text);
  for (std::size_t at = 0; at <= folded.size();) {
    const auto end = std::min(folded.find(' ', at), folded.size());
    const auto word = std::string_view(folded).substr(at, end - at);
    if (isOneOf(word, kMale)) return "male";
    if (isOneOf(word, kFemale)) return "female";
    at = end + 1;
  }
  return "";
}

std::string foldKind(std::string_view text) {
  auto kind = foldWords(text);
  if (kind.empty() || kind == "dogs" || kind == "puppy" || kind == "puppies" || kind == "pup") return "dog";
  if (kind == "cats" || kind == "kitten" || kind == "kittens") return "cat";
  return kind;
}

/// A row's words, folded once.
struct Signs {
  std::string name, kind, sex;
  std::vector<std::string> words;
};

Signs signsOf(const AnimalRow& row) {
  return {foldName(row.name), foldKind(row.kind), foldSex(row.sex), tellingWords(row.description)};
}

bool isLocated(const AnimalRow& row) { return std::isfinite(row.where.x) && std::isfinite(row.where.y); }

bool agree(const std::string& a, const std::string& b) { return a.empty() || b.empty() || a == b; }

constexpr std::size_t kMostWords = 1000;  ///< no description has so many: the sex outweighs the words

class Gatherer {
 public:
  Gatherer(std::span<const AnimalRow> rows, const SameDogRequest& request) : rows_(rows), request_(request) {
    result_.animal.assign(rows.size(), -1);
    result_.more.resize(rows.size());
  }

  Result<void> run(Progress& progress) {
    const auto looks = looksInOrder();
    for (std::size_t i = 0; i < looks.size(); ++i) {
      if (i % 1024 == 0) {
        LEEWARD_TRY(progress.checkStop());
        progress.report(static_cast<double>(i) / static_cast<double>(looks.size()), "Telling animals apart");
      }
      gatherLook(looks[i]);
    }
    renumber();
    return {};
  }

  SameDog take() { return std::move(result_); }

 private:
  /// The rows of each look, looks by day and then by first row.
  std::vector<std::vector<std::size_t>> looksInOrder() const {
    std::unordered_map<std::int64_t, std::size_t> of_look;
    std::vector<std::vector<std::size_t>> looks;
    for (std::size_t row = 0; row < rows_.size(); ++row) {
      if (rows_[row].count <= 0) continue;
      if (rows_[row].look >= 0) {
        const auto [at, is_new] = of_look.try_emplace(rows_[row].look, looks.size());
        if (!is_new) {
          looks[at->second].push_back(row);
          continue;
        }
      }
      looks.push_back({row});
    }
    std::stable_sort(looks.begin(), looks.end(),
                     [&](const auto& a, const auto& b) { return rows_[a.front()].date < rows_[b.front()].date; });
    return looks;
  }

  void gatherLook(const std::vector<std::size_t>& look) {
    std::vector<Signs> signs;
    for (const auto row : look) signs.push_back(signsOf(rows_[row]));
    taken_.clear();
    for (const bool named : {true, false}) {
      for (std::size_t i = 0; i < look.size(); ++i) {
        if (signs[i].name.empty() != named) gatherRow(look[i], signs[i]);
      }
    }
  }

  void gatherRow(std::size_t row, const Signs& signs) {
    // A row that counts several describes one of them; what the others are called or look like was not said.
    Signs others;
    others.kind = signs.kind;
    for (int i = 0; i < rows_[row].count; ++i) {
      const Signs& told = i == 0 ? signs : others;
      const auto animal = find(row, told).value_or(result_.animals.size());
      if (animal == result_.animals.size()) {
        result_.animals.emplace_back();
        words_.emplace_back();
        result_.animals.back().kind = told.kind;
        result_.animals.back().first_seen = result_.animals.back().last_seen = rows_[row].date;
      }
      taken_.push_back(animal);
      record(animal, row, told);
      if (i == 0) {
        result_.animal[row] = static_cast<std::int64_t>(animal);
      } else {
        result_.more[row].push_back(static_cast<std::int64_t>(animal));
      }
    }
    if (isLocated(rows_[row])) {
      auto& records = cells_[cellOf(rows_[row].where)];
      records.push_back({row, result_.animal[row]});
      for (const auto animal : result_.more[row]) records.push_back({row, animal});
    }
  }

  std::optional<std::size_t> find(std::size_t row, const Signs& signs) const {
    if (rows_[row].premises < 0) return findNear(row, signs, false);
    if (const auto there = findAtPremises(rows_[row].premises, signs)) return there;
    return findNear(row, signs, true);
  }

  /// Rules 2 and 3.
  std::optional<std::size_t> findAtPremises(std::int64_t premises, const Signs& signs) const {
    const auto found = at_premises_.find(premises);
    if (found == at_premises_.end()) return std::nullopt;
    std::optional<std::size_t> best;
    std::size_t most = 0;
    if (!signs.name.empty()) {
      for (const auto animal : found->second) {
        const auto& known = result_.animals[animal];
        if (known.folded_name != signs.name || !agree(known.kind, signs.kind) || isTaken(animal)) continue;
        // A slip in the sex doesn't make another animal of the only one of that name; of two it tells which.
        const auto fit = sharedWords(animal, signs) + (agree(known.sex, signs.sex) ? kMostWords : 0);
        if (best && fit <= most) continue;
        best = animal, most = fit;
      }
      if (best) return best;
    }
    for (const auto animal : found->second) {
      if (isTaken(animal) || !isCompatible(animal, signs)) continue;
      const auto shared = sharedWords(animal, signs);
      if (best && shared <= most) continue;
      best = animal;
      most = shared;
    }
    return best;
  }

  /// Rule 4.
  std::optional<std::size_t> findNear(std::size_t row, const Signs& signs, bool only_without_premises) const {
    if (!isLocated(rows_[row])) return std::nullopt;
    const auto p = rows_[row].where;
    const auto home = cellOf(p);
    std::optional<std::size_t> best;
    double nearest2 = request_.near_m * request_.near_m;
    for (std::int64_t dy = -1; dy <= 1; ++dy) {
      for (std::int64_t dx = -1; dx <= 1; ++dx) {
        const auto cell = cells_.find({home.first + dx, home.second + dy});
        if (cell == cells_.end()) continue;
        // Records of a cell are in order of day: the first too old one ends the search.
        for (auto record = cell->second.rbegin(); record != cell->second.rend(); ++record) {
          if (rows_[row].date - rows_[record->row].date > request_.near_days) break;
          const auto animal = static_cast<std::size_t>(record->animal);
          const auto q = rows_[record->row].where;
          const double distance2 = (p.x - q.x) * (p.x - q.x) + (p.y - q.y) * (p.y - q.y);
          const bool is_nearer = distance2 < nearest2 || (distance2 == nearest2 && (!best || animal < *best));
          if (!is_nearer || isTaken(animal) || !isCompatible(animal, signs)) continue;
          if (only_without_premises && result_.animals[animal].premises >= 0) continue;
          best = animal;
          nearest2 = distance2;
        }
      }
    }
    return best;
  }

  bool isTaken(std::size_t animal) const { return std::find(taken_.begin(), taken_.end(), animal) != taken_.end(); }

  bool isCompatible(std::size_t animal, const Signs& signs) const {
    const auto& known = result_.animals[animal];
    return agree(known.folded_name, signs.name) && agree(known.kind, signs.kind) && agree(known.sex, signs.sex) &&
           wordOverlap(words_[animal], signs.words) >= request_.word_share;
  }

  std::size_t sharedWords(std::size_t animal, const Signs& signs) const {
    return static_cast<std::size_t>(std::count_if(signs.words.begin(), signs.words.end(), [&](const auto& word) {
      return std::binary_search(words_[animal].begin(), words_[animal].end(), word);
    }));
  }

  void record(std::size_t animal, std::size_t row, const Signs& signs) {
    auto& known = result_.animals[animal];
    const auto& seen = rows_[row];
    known.first_row = known.rows == 0 ? row : std::min(known.first_row, row);
    ++known.rows;
    known.last_seen = std::max(known.last_seen, seen.date);
    if (seen.met && !known.first_met) known.first_met = seen.date;
    if (known.folded_name.empty() && !signs.name.empty()) {
      known.folded_name = signs.name;
      known.name = seen.name;
    }
    if (known.sex.empty()) known.sex = signs.sex;
    if (seen.description.size() > known.description.size()) known.description = seen.description;
    auto& words = words_[animal];
    words.insert(words.end(), signs.words.begin(), signs.words.end());
    std::sort(words.begin(), words.end());
    words.erase(std::unique(words.begin(), words.end()), words.end());
    if (known.premises < 0 && seen.premises >= 0) {
      known.premises = seen.premises;
      auto& there = at_premises_[seen.premises];
      there.push_back(animal);
      known.ordinal = static_cast<std::int32_t>(there.size());
    }
  }

  /// Animals were made in order of day; they are given out in order of their first row.
  void renumber() {
    std::vector<std::size_t> order(result_.animals.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return result_.animals[a].first_row < result_.animals[b].first_row; });
    std::vector<std::int64_t> place(order.size());
    std::vector<Animal> sorted;
    for (std::size_t i = 0; i < order.size(); ++i) {
      place[order[i]] = static_cast<std::int64_t>(i);
      sorted.push_back(std::move(result_.animals[order[i]]));
    }
    result_.animals = std::move(sorted);
    const auto move = [&](std::int64_t& animal) { animal = animal < 0 ? -1 : place[static_cast<std::size_t>(animal)]; };
    for (auto& animal : result_.animal) move(animal);
    for (auto& row : result_.more) std::for_each(row.begin(), row.end(), move);
  }

  using Cell = std::pair<std::int64_t, std::int64_t>;
  Cell cellOf(Point p) const {
    const double side = std::max(request_.near_m, 1.0);
    return {static_cast<std::int64_t>(std::floor(p.x / side)), static_cast<std::int64_t>(std::floor(p.y / side))};
  }

  struct Record {
    std::size_t row;
    std::int64_t animal;
  };

  std::span<const AnimalRow> rows_;
  SameDogRequest request_;
  SameDog result_;
  std::vector<std::vector<std::string>> words_;                             ///< per animal, ascending
  std::unordered_map<std::int64_t, std::vector<std::size_t>> at_premises_;  ///< animals by ordinal
  std::map<Cell, std::vector<Record>> cells_;
  std::vector<std::size_t> taken_;  ///< animals of the look at hand
};

}  // namespace

std::string foldName(std::string_view name) {
  auto folded = foldWords(name);
  std::erase(folded, ' ');
  return isOneOf(folded, kNoNames) ? std::string() : folded;
}

Result<SameDog> gatherAnimals(std::span<const AnimalRow> rows, const SameDogRequest& request, Progress& progress) {
  if (!(request.near_m >= 0) || request.near_days < 0 || !(request.word_share >= 0 && request.word_share <= 1)) {
    return Problem{ProblemCode::InvalidArgument, "the rules for telling animals apart have a value out of range", "",
                   "Distance and days must be 0 or more, the share of words between 0 and 1"};
  }
  Gatherer gatherer(rows, request);
  LEEWARD_TRY(gatherer.run(progress));
  progress.report(1.0);
  return gatherer.take();
}

}  // namespace leeward::analysis
