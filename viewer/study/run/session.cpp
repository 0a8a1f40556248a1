#include "viewer/study/run/session.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "shared/base/files.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/forget_household.h"
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

Result<void> keyBook(Session& session) {
  LEEWARD_ASSIGN(state, session.ledger.stateKey());
  session.book.key = bookKey(session.context, state);
  return {};
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

/// Where crews set out must lie near what they are to reach: an exchanged pair would send every round across the world.
Result<void> checkStart(const RunContext& context, const Layer& blocks) {
  constexpr double kFarOffM = 100'000;
  if (!context.study.outings.start_lon_lat) return {};
  const Point start = *context.study.outings.start_lon_lat;
  LEEWARD_ASSIGN(to_frame, Transform::between(context.positions(), context.frame));
  const Bbox box = blocks.geometry.bbox();
  const auto distance_m = [&](Point said) {
    const bool on_globe = context.frame.isLocal() || (std::abs(said.x) <= 180 && std::abs(said.y) <= 90);
    const Point at = on_globe ? to_frame(said) : Point{kNan, kNan};
    if (!std::isfinite(at.x)) return std::numeric_limits<double>::infinity();
    return std::hypot(at.x - std::clamp(at.x, box.min_x, box.max_x), at.y - std::clamp(at.y, box.min_y, box.max_y));
  };
  const double far_m = distance_m(start);
  if (far_m <= kFarOffM) return {};
  const std::string where = "[outings] start of study.toml";
  if (distance_m({start.y, start.x}) <= kFarOffM) {
    return Problem{ProblemCode::BadData, "the place where crews set out has latitude before longitude", where,
                   fmt::format("Write start = [{}, {}]: longitude first", formatNumber(start.y), formatNumber(start.x))};
  }
  const std::string far = std::isfinite(far_m) ? fmt::format("{} km from the blocks", formatCount(std::llround(far_m / 1000))) : "nowhere on the earth";
  return Problem{ProblemCode::BadData, "the place where crews set out lies " + far, where, "Write its longitude and latitude: start = [lon, lat]"};
}

}  // namespace

Session::Session(StudyFile opened_study, Ledger opened_ledger, Date as_of)
    : study(std::move(opened_study)),
      ledger(std::move(opened_ledger)),
      steps(study.cache()),
      context{.study = study, .ledger = ledger, .steps = steps, .frame = {}, .as_of = as_of, .layers = {}, .remarks = {}, .inputs = {}} {}

Result<std::unique_ptr<Session>> beginSession(const RunRequest& request, Progress progress) {
  LEEWARD_ASSIGN(study, readStudyFile(request.folder));
  const Date as_of = request.as_of.value_or(study.as_of.value_or(today()));
  const bool may_freeze = request.records != Records::AsTheyAre && as_of < today();
  const bool is_frozen = may_freeze && request.records == Records::AsFirstReported && std::filesystem::exists(frozenLedger(study, as_of));
  LEEWARD_ASSIGN(ledger, Ledger::open(is_frozen ? frozenLedger(study, as_of) : study.ledger()));
  auto session = std::make_unique<Session>(withRequest(std::move(study), request), std::move(ledger), as_of);
  session->may_freeze = may_freeze;
  session->is_frozen = is_frozen;
  RunContext& context = session->context;
  LEEWARD_TRY(keyPublicLayers(context, progress));
  LEEWARD_TRY(keyBook(*session));
  return session;
}

Problem notKept() { return {ProblemCode::NotFound, "the study changed since its figures were made", "", "Run it: leeward run"}; }

Result<bool> isAtRest(const Session& session) {
  LEEWARD_ASSIGN(placed, isAllPlaced(session.context));
  if (!placed) return false;
  LEEWARD_ASSIGN(forgotten, session.ledger.forgottenPremises());
  return forgotten.empty();
}

Result<std::unique_ptr<Session>> openSession(const RunRequest& request, Progress progress) {
  // Two programs that place and gather at once would both give ids to the same doors.
  LEEWARD_ASSIGN(lock, FolderLock::wait(request.folder, progress));
  LEEWARD_ASSIGN(session, beginSession(request, progress.part(0, 0.2)));
  RunContext& context = session->context;
  removeLeftovers(session->study.cache());
  LEEWARD_TRY(loadPublicLayers(context, progress.part(0.2, 0.4)));
  const Layer* blocks = context.layer("blocks");
  if (blocks == nullptr || !blocks->hasGeometry()) {
    return Problem{ProblemCode::BadData, "the study has no blocks yet, and everything is told by block", request.folder.string(),
                   fmt::format("Bring them in: leeward take-in {} blocks FILE", request.folder.string())};
  }
  LEEWARD_TRY(checkStart(context, *blocks));
  LEEWARD_TRY(placeRecords(context, progress.part(0.4, 0.8)));
  LEEWARD_TRY(forgetAgain(context, progress.quiet()));
  LEEWARD_ASSIGN(book, readBook(context, progress.part(0.8, 0.9)));
  session->book = std::move(book);
  LEEWARD_TRY(keepAllAnimals(*session, progress.part(0.9, 1)));
  LEEWARD_TRY(noteAllPlaced(context));
  // keepAnimals() wrote to the ledger, so the key of what was read is taken once more.
  LEEWARD_TRY(keyBook(*session));
  session->is_gathered = true;
  LEEWARD_ASSIGN(imports, importsOf(session->ledger));
  context.inputs.insert(context.inputs.end(), imports.begin(), imports.end());
  if (session->is_frozen) {
    LEEWARD_ASSIGN(since, sinceFrozen(session->study, session->ledger, context.as_of));
    if (!since.none()) session->since_frozen = since;
  } else if (session->may_freeze) {
    Progress quiet;
    LEEWARD_TRY(freezeDay(session->study, session->ledger, context.as_of, quiet));
    session->newly_frozen = context.as_of;
  }
  return session;
}

}  // namespace leeward::study
