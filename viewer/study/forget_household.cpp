#include "viewer/study/forget_household.h"

#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "analysis/sightings/folding.h"
#include "shared/base/files.h"
#include "shared/base/text.h"
#include "shared/ledger/sealing.h"
#include "viewer/study/frozen.h"
#include "viewer/study/hand_over/places.h"
#include "viewer/study/made_files.h"
#include "viewer/study/reference.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

/// Premises at which every look that says a name says this one.
Result<std::vector<std::string>> premisesOf(const Ledger& ledger, const std::string& household) {
  LEEWARD_ASSIGN(looks, ledger.read(Entity::Looks));
  const auto premises = textsOf(looks, "premises_id"), names = textsOf(looks, "household");
  const std::string sought = analysis::foldWords(household);
  std::map<std::string, std::pair<bool, bool>> at;  // theirs, others'
  for (std::size_t row = 0; row < names.size(); ++row) {
    if (premises[row].empty() || trim(names[row]).empty()) continue;
    (analysis::foldWords(names[row]) == sought ? at[premises[row]].first : at[premises[row]].second) = true;
  }
  std::vector<std::string> theirs;
  for (const auto& [id, who] : at) {
    if (who.first && !who.second) theirs.push_back(id);
  }
  return theirs;
}

/// The names under which masked places of these premises may stand.
Result<std::vector<std::string>> tagsOf(const Ledger& ledger, const std::vector<std::string>& premises) {
  LEEWARD_ASSIGN(secret, ledger.setting("masking_secret"));
  LEEWARD_ASSIGN(known, ledger.read(Entity::Premises));
  const auto ids = textsOf(known, "id"), publics = textsOf(known, "public_id");
  std::set<std::string> names(premises.begin(), premises.end());
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (std::ranges::find(premises, ids[row]) == premises.end() && std::ranges::find(premises, publics[row]) == premises.end()) continue;
    names.insert(ids[row]), names.insert(publics[row]);
  }
  names.erase("");
  std::vector<std::string> tags;
  for (const auto& name : names) tags.push_back(premisesTag(secret.value_or(""), name));
  return tags;
}

/// Files below the study's folder in which a word stands as it is, upper or lower case.
std::vector<std::string> filesThatSay(const fs::path& folder, const std::vector<std::string>& words) {
  std::vector<std::string> files;
  std::error_code error;
  for (const auto& entry : fs::recursive_directory_iterator(folder, error)) {
    if (!entry.is_regular_file(error)) continue;
    const auto bytes = readFile(entry.path());
    if (!bytes) continue;
    const std::string low = lowerAscii(*bytes);
    // A telephone may be that of several households; names and addresses are theirs.
    const auto saysIt = [&](const std::string& word) {
      const bool is_name = std::ranges::any_of(word, [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || static_cast<unsigned char>(c) >= 0x80; });
      return is_name && low.find(lowerAscii(word)) != std::string::npos;
    };
    if (std::ranges::any_of(words, saysIt)) files.push_back(entry.path().string());
  }
  std::ranges::sort(files);
  return files;
}

/// A frozen day is a whole ledger, and may hold premises that the live one no longer has. A referral that was open then has been asked about.
Result<bool> forgetInFrozen(const fs::path& file, ForgetRequest ask, Progress& progress) {
  LEEWARD_ASSIGN(frozen, Ledger::open(file));
  ask.despite_referral = true;
  if (!ask.household.empty()) {
    LEEWARD_ASSIGN(theirs, premisesOf(frozen, ask.household));
    for (auto& id : theirs) {
      if (std::ranges::find(ask.premises, id) == ask.premises.end()) ask.premises.push_back(std::move(id));
    }
    LEEWARD_ASSIGN(tags, tagsOf(frozen, ask.premises));
    ask.premises_tags = std::move(tags);
  }
  LEEWARD_ASSIGN(left, frozen.forget(ask, progress));
  LEEWARD_TRY(frozen.close());
  return !left.nothing();
}

}  // namespace

Result<ForgottenStudy> forgetInStudy(const ForgetStudyRequest& request, Progress& progress) {
  if (request.premises.empty() == trim(request.household).empty()) {
    return Problem{ProblemCode::InvalidArgument, "say whom to forget: premises or a household, one of both", "", "--premises ID or --household NAME"};
  }
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  ForgetRequest ask;
  ask.household = trim(request.household), ask.day = toIso(today()), ask.despite_referral = request.despite_referral, ask.dry_run = request.dry_run;
  if (!request.premises.empty()) {
    ask.premises = {request.premises};
  } else {
    LEEWARD_ASSIGN(theirs, premisesOf(ledger, ask.household));
    ask.premises = std::move(theirs);
  }
  LEEWARD_ASSIGN(tags, tagsOf(ledger, ask.premises));
  ask.premises_tags = std::move(tags);
  ForgottenStudy done;
  // A referral that holds them is asked about first. Then the frozen days, the ledger last: if a copy can't be read all can be tried again.
  ForgetRequest trial = ask;
  trial.dry_run = true;
  LEEWARD_TRY(ledger.forget(trial, progress));
  for (const auto& file : frozenLedgers(study)) {
    LEEWARD_ASSIGN(left, forgetInFrozen(file, ask, progress));
    if (left) done.in_frozen.push_back(file.string());
  }
  LEEWARD_ASSIGN(rows, ledger.forget(ask, progress));
  done.rows = std::move(rows);
  if (done.rows.nothing() && done.in_frozen.empty()) return Problem{ProblemCode::NotFound, "nothing of them is on record", request.premises.empty() ? "household" : request.premises, "Look up the premises' id in next --doors, or the name as the crew typed it"};
  LEEWARD_TRY(ledger.close());
  for (const auto& file : madeFiles(study)) {
    std::error_code error;
    if (!request.dry_run) fs::remove(file, error);
    if (!error) done.removed.push_back(file.string());
  }
  const auto typed = typedFiles(study);
  for (const auto& file : filesThatSay(request.folder, done.rows.words)) {
    const bool is_copy = std::ranges::find(typed, fs::path(file)) != typed.end();
    if (is_copy && !request.dry_run) shred(file);
    if (is_copy) done.removed.push_back(file);
    else if (!request.dry_run) done.still_holding.push_back(file);
  }
  for (const auto& file : done.rows.from_files) done.still_holding.push_back(file + " (the crew's file, wherever it lies)");
  for (const auto& file : done.rows.photo_files) done.still_holding.push_back(file + " (picture)");
  return done;
}

Result<void> forgetAgain(RunContext& context, Progress progress) {
  LEEWARD_ASSIGN(back, context.ledger.forgottenPremises());
  std::uint64_t rows = 0;
  for (const auto& [id, day] : back) {
    LEEWARD_ASSIGN(tags, tagsOf(context.ledger, {id}));
    ForgetRequest ask{.premises = {id}, .premises_tags = std::move(tags), .household = "", .day = day};
    ask.despite_referral = true, ask.until_day = true;
    LEEWARD_ASSIGN(done, context.ledger.forget(ask, progress));
    rows += done.looks + done.sightings;
  }
  if (rows > 0) context.remarks.push_back(fmt::format("{} {} of who was forgotten had come in again and left once more.", rows, rows == 1 ? "row" : "rows"));
  return {};
}

}  // namespace leeward::study
