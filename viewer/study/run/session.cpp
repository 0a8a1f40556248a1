#include "viewer/study/run/session.h"

#include <utility>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "viewer/study/receipts.h"
#include "viewer/study/run/placing.h"
#include "viewer/study/run/public_layers.h"

namespace leeward::study {
namespace {

constexpr Date kEndOfTime{2932896};  // 9999-12-31

StudyFile withRequest(StudyFile study, const RunRequest& request) {
  if (request.as_of) study.as_of = request.as_of;
  if (request.seed) study.seed = *request.seed;
  if (request.level) study.level = *request.level;
  if (request.top_k) study.top_k = *request.top_k;
  return study;
}

/// Animals are kept in the ledger as all records show them, whatever day the figures are of.
Result<void> keepAllAnimals(Session& session, Progress progress) {
  if (session.context.as_of >= today()) return keepAnimals(session.context, session.book, progress);
  const Date as_of = std::exchange(session.context.as_of, kEndOfTime);
  LEEWARD_ASSIGN(state, session.ledger.stateKey());
  LEEWARD_ASSIGN(kept_key, session.ledger.setting("gather_key"));
  if (kept_key == bookKey(session.context, state)) {  // kept already: no need to gather all records again to find that out
    session.context.as_of = as_of;
    return {};
  }
  LEEWARD_ASSIGN(all, readBook(session.context, progress.part(0, 0.5)));
  LEEWARD_TRY(keepAnimals(session.context, all, progress.part(0.5, 1)));
  session.context.as_of = as_of;
  return {};
}

}  // namespace

Session::Session(StudyFile opened_study, Ledger opened_ledger, Date as_of)
    : study(std::move(opened_study)),
      ledger(std::move(opened_ledger)),
      steps(study.cache()),
      context{.study = study, .ledger = ledger, .steps = steps, .frame = {}, .as_of = as_of, .layers = {}, .remarks = {}, .inputs = {}} {}

Result<std::unique_ptr<Session>> openSession(const RunRequest& request, Progress progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  // Two programs that place and gather at once would both give ids to the same doors.
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  const Date as_of = request.as_of.value_or(study.as_of.value_or(today()));
  LEEWARD_ASSIGN(ledger, Ledger::open(study.ledger()));
  auto session = std::make_unique<Session>(withRequest(std::move(study), request), std::move(ledger), as_of);
  removeLeftovers(session->study.cache());
  RunContext& context = session->context;
  LEEWARD_TRY(loadPublicLayers(context, progress.part(0, 0.4)));
  const Layer* blocks = context.layer("blocks");
  if (blocks == nullptr || !blocks->hasGeometry()) {
    return Problem{ProblemCode::BadData, "the study has no blocks yet, and everything is told by block", request.folder.string(),
                   fmt::format("Bring them in: leeward take-in {} blocks FILE", request.folder.string())};
  }
  LEEWARD_TRY(placeRecords(context, progress.part(0.4, 0.8)));
  LEEWARD_ASSIGN(book, readBook(context, progress.part(0.8, 0.9)));
  session->book = std::move(book);
  LEEWARD_TRY(keepAllAnimals(*session, progress.part(0.9, 1)));
  // keepAnimals() wrote to the ledger, so the key of what was read is taken once more.
  LEEWARD_ASSIGN(state, session->ledger.stateKey());
  session->book.key = bookKey(context, state);
  LEEWARD_ASSIGN(imports, importsOf(session->ledger));
  context.inputs.insert(context.inputs.end(), imports.begin(), imports.end());
  return session;
}

}  // namespace leeward::study
