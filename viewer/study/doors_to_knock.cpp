// doorsToKnock() of run_study.h.
#include <cstdint>
#include <string>
#include <vector>

#include "analysis/rounds/doors.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/blocks.h"
#include "viewer/study/run/door_notes.h"
#include "viewer/study/run/due_list.h"
#include "viewer/study/run/rows.h"
#include "viewer/study/run/session.h"
#include "viewer/study/run_study.h"

namespace leeward::study {
namespace {

constexpr int kDueSoonDays = 7;  ///< what is due within a week is put right while a crew is there

}  // namespace

Result<DoorsOutcome> doorsToKnock(const DoorsRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(session, openSession(request.run, progress.part(0, 0.6)));
  auto working = progress.part(0.7, 0.9);
  LEEWARD_ASSIGN(facts, blockFacts(session->context, progress.part(0.6, 0.7)));
  const std::vector<analysis::RateFigure> figures = rateFigures(facts);
  const analysis::WhereNextRequest asked = whereNextRequest(session->context, facts.need, figures);
  LEEWARD_ASSIGN(answer, analysis::whereNext(recordOf(session->context, session->book), asked, working));
  analysis::DoorRequest rounds{asked.outing, request.crews};
  rounds.outing.hours = request.hours;
  auto choosing = progress.part(0.9, 1);
  LEEWARD_ASSIGN(doors, analysis::doorsToKnock(recordOf(session->context, session->book), answer.coverage, answer.unmet, rounds, choosing));
  LEEWARD_ASSIGN(to_lon_lat, Transform::between(session->context.frame, session->context.positions()));
  Layer layer;
  layer.name = "doors";
  layer.crs = session->context.positions();
  LEEWARD_ASSIGN(due_list, dueTable(session->context, session->book, textsOf(session->context.layer("blocks")->table, "id"), answer.coverage.doors));
  const std::vector<std::int32_t> chosen(doors.door.begin(), doors.door.end());
  LEEWARD_ASSIGN(notes, doorNotes(session->context, session->book, due_list, chosen, session->context.as_of + kDueSoonDays));
  std::vector<std::string> premises, block, address, due, hazard;
  std::vector<double> lon, lat;
  for (std::size_t i = 0; i < doors.size(); ++i) {
    const auto door = static_cast<std::size_t>(doors.door[i]);
    const Point at = to_lon_lat(session->book.doors.position[door]);
    layer.geometry.addPoint(at);
    lon.push_back(at.x), lat.push_back(at.y);
    premises.push_back(session->book.doors.id[door]), address.push_back(session->book.doors.address[door]), hazard.push_back(session->book.doors.hazard[door]);
    block.push_back(doors.block[i] >= 0 ? facts.id[static_cast<std::size_t>(doors.block[i])] : "");
    due.push_back(doors.due[i] ? toIso(*doors.due[i]) : "");
  }
  layer.table = TableMaker{}
      .integers("crew", std::vector<std::int64_t>(doors.crew.begin(), doors.crew.end())).integers("order", std::vector<std::int64_t>(doors.order.begin(), doors.order.end()))
      .texts("premises_id", premises).named("block_id", block).texts("address", address).reals("lon", lon).reals("lat", lat)
      .rounded("chance_unmet", doors.chance_unmet).rounded("unmet_in_need", doors.unmet_in_need).rounded("minutes", doors.minutes).named("due", due)
      .texts("hazard", hazard).named("permission", notes.permission).named("who", notes.who).named("what_due", notes.what_due).named("bring", notes.bring).texts("because", doors.because).done();
  LEEWARD_TRY(session->ledger.close());
  return DoorsOutcome{std::move(layer), session->study, session->context.as_of, session->context.inputs};
}

}  // namespace leeward::study
