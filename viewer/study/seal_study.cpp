#include "viewer/study/seal_study.h"

#include <algorithm>
#include <set>

#include "shared/base/files.h"
#include "shared/ledger/sealing.h"
#include "viewer/study/frozen.h"
#include "viewer/study/made_files.h"
#include "viewer/study/study_file.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

Problem notSealed(const StudyFile& study) { return {ProblemCode::InvalidArgument, "the study is not sealed; nothing was changed", study.folder.string(), "Seal it first: leeward seal " + study.folder.string()}; }

/// Whatever lies in the folder and is neither sealed nor the study file nor a public layer of it (with the files beside that).
std::vector<std::string> inTheClear(const StudyFile& study) {
  std::set<std::string> layers;
  std::error_code error;
  for (const auto& [kind, source] : study.sources) layers.insert(study.pathOf(source).lexically_normal().replace_extension().string());
  std::vector<std::string> files;
  for (auto entry = fs::recursive_directory_iterator(study.folder, error); entry != fs::recursive_directory_iterator(); entry.increment(error)) {
    const fs::path file = entry->path();
    if (error || !entry->is_regular_file(error) || file == study.file() || isSealed(file)) continue;
    if (!layers.contains(file.lexically_normal().replace_extension().string())) files.push_back(file.string());
  }
  std::ranges::sort(files);
  return files;
}

}  // namespace

Result<SealOutcome> sealStudy(const fs::path& folder, const Secret& passphrase, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(folder, progress));
  SealOutcome done;
  std::string head;
  if (isSealed(study.ledger())) {
    LEEWARD_ASSIGN(kept, readSealHead(study.ledger()));
    head = std::move(kept);
  } else {
    LEEWARD_ASSIGN(made, sealHead(Sealer::ofNewKey(), passphrase));
    head = std::move(made);
    auto sealing = progress.part(0, 0.7);
    LEEWARD_TRY(sealLedger(study.ledger(), head, sealing));
    done.sealed.push_back(study.ledger().string());
  }
  for (const auto& file : frozenLedgers(study)) {
    if (isSealed(file)) continue;
    auto sealing = progress.part(0.7, 0.9);
    LEEWARD_TRY(sealLedger(file, head, sealing));
    done.sealed.push_back(file.string());
  }
  const auto made = madeFiles(study);
  if (done.sealed.empty() && std::ranges::all_of(made, [&](const fs::path& file) { return file.parent_path() == study.cache(); })) {
    return Problem{ProblemCode::AlreadyExists, "the study is sealed already; nothing was changed", folder.string(), "seal DIR --change sets another passphrase"};
  }
  auto copies = typedFiles(study);
  copies.insert(copies.end(), made.begin(), made.end());
  for (const auto& file : copies) {
    shred(file);
    done.removed.push_back(file.string());
  }
  done.in_the_clear = inTheClear(study);
  return done;
}

Result<void> changePassphrase(const fs::path& folder, const Secret& passphrase, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(folder, progress));
  const auto sealer = sealerOf(study.ledger());
  if (!sealer) return notSealed(study);
  LEEWARD_ASSIGN(head, sealHead(*sealer, passphrase));
  for (const auto& file : frozenLedgers(study)) LEEWARD_TRY(changeSealHead(file, head));
  return changeSealHead(study.ledger(), head);
}

Result<void> openForGood(const fs::path& folder, Progress& progress) {
  LEEWARD_ASSIGN(study, readStudyFile(folder));
  LEEWARD_ASSIGN(lock, FolderLock::wait(folder, progress));
  if (!isSealed(study.ledger())) return notSealed(study);
  for (const auto& file : frozenLedgers(study)) LEEWARD_TRY(unsealLedger(file, progress));
  LEEWARD_TRY(unsealLedger(study.ledger(), progress));
  for (const auto& file : madeFiles(study)) shred(file);  // caches that can't be read any more
  return {};
}

}  // namespace leeward::study
