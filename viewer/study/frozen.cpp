#include "viewer/study/frozen.h"

#include <algorithm>
#include <unordered_map>

#include <fmt/format.h>

#include "shared/base/dates.h"
#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr const char* kFrozenOn = "frozen_on";

/// What each row of days up to the given one says, by id.
Result<std::unordered_map<std::string, std::string>> saidUpTo(const Ledger& ledger, Date day) {
  std::unordered_map<std::string, std::string> said;
  for (const Entity entity : {Entity::Looks, Entity::Sightings}) {
    LEEWARD_ASSIGN(rows, ledger.read(entity));
    const Column& dates = columnOf(rows, "date");
    const Column& ids = columnOf(rows, "id");
    const Column& hashes = columnOf(rows, "content_hash");
    for (std::size_t row = 0; row < rows.rows(); ++row) {
      const auto date = dateAt(dates, row);
      if (date && *date <= day) said.emplace(ids.textAt(row), hashes.textAt(row));
    }
  }
  return said;
}

}  // namespace

std::filesystem::path frozenLedger(const StudyFile& study, Date day) { return study.folder / "frozen" / (toIso(day) + ".sqlite"); }

std::vector<std::filesystem::path> frozenLedgers(const StudyFile& study) {
  std::vector<std::filesystem::path> files;
  std::error_code none;
  for (const auto& entry : std::filesystem::directory_iterator(study.folder / "frozen", none)) {
    if (entry.path().extension() == ".sqlite") files.push_back(entry.path());
  }
  std::ranges::sort(files);
  return files;
}

Result<void> freezeDay(const StudyFile& study, const Ledger& ledger, Date day, Progress& progress) {
  const auto file = frozenLedger(study, day);
  std::error_code failed;
  std::filesystem::create_directories(file.parent_path(), failed);
  if (failed) return Problem{ProblemCode::Io, "the folder of frozen reports can't be made: " + failed.message(), file.parent_path().string(), "Make it, or give the study's folder write permission"};
  std::filesystem::permissions(file.parent_path(), std::filesystem::perms::owner_all, failed);
  LEEWARD_TRY(ledger.backup(file, progress));
  LEEWARD_ASSIGN(copy, Ledger::open(file));
  LEEWARD_TRY(copy.setSetting(kFrozenOn, toIso(today())));
  return copy.close();
}

Result<SinceFrozen> sinceFrozen(const StudyFile& study, const Ledger& frozen, Date day) {
  SinceFrozen since{.day = day, .frozen_on = ""};
  LEEWARD_ASSIGN(frozen_on, frozen.setting(kFrozenOn));
  since.frozen_on = frozen_on.value_or("an unknown day");
  LEEWARD_ASSIGN(live, Ledger::open(study.ledger()));
  LEEWARD_ASSIGN(now, saidUpTo(live, day));
  LEEWARD_TRY(live.close());
  LEEWARD_ASSIGN(then, saidUpTo(frozen, day));
  for (const auto& [id, hash] : now) {
    const auto found = then.find(id);
    if (found == then.end()) ++since.more;
    else if (found->second != hash) ++since.corrected;
  }
  for (const auto& [id, hash] : then) since.gone += now.contains(id) ? 0 : 1;
  return since;
}

std::string nowFrozenInWords(Date day) {
  return fmt::format("The figures of {} are frozen from now on: brief and changed will tell the same again, whatever is typed in late (--with-late takes it in).", toIso(day));
}

std::string inWords(const SinceFrozen& since) {
  std::string changes;
  const auto add = [&](std::int64_t count, const char* what) {
    if (count > 0) changes += (changes.empty() ? "" : ", ") + formatCount(count) + " " + what;
  };
  add(since.more, since.more == 1 ? "look or sighting more" : "looks and sightings more");
  add(since.corrected, "corrected");
  add(since.gone, "taken back");
  return fmt::format("The figures of {} were frozen on {}. Came in since about days up to then: {}. They are not in this report; --with-late takes them in and freezes it anew.", toIso(since.day),
                     since.frozen_on, changes);
}

}  // namespace leeward::study
