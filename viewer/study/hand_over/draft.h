#pragma once
/// Everything that a hand-over will say, made and kept back before a file is written.
#include <set>
#include <string>
#include <vector>

#include "viewer/study/hand_over/counts.h"
#include "viewer/study/hand_over/places.h"
#include "viewer/study/hand_over/private_facts.h"
#include "viewer/study/run_study.h"

namespace leeward::study {

struct HandOverRequest {
  RunRequest run;
  std::string audience = "public";  ///< public, partner, authority
  std::string case_id;              ///< authority: a visit_id, or the premises' id, of the case
  std::string by;                   ///< area layer; "" = toldAreas' own choice
  std::optional<Every> every;       ///< without it the study's
  std::filesystem::path report;     ///< where the lead's report goes; "": the study's out, or nowhere if it is sealed
};

struct HandOverDraft {
  std::string audience, case_id, study;
  Date as_of;
  int threshold = 5, k = 20;
  std::vector<SourceNote> sources;
  std::string improved_rule, record_begins;
  // public, partner
  ToldAreas areas;
  ToldCounts counts;
  Table figures;  ///< toldTable
  ToldPlaces places;
  // authority
  Table case_looks, case_checks, case_referrals;
  std::string case_address;
  analysis::PrivateFacts facts;  ///< for the leak check: of everybody but the case
};

/// Runs the study, counts, withholds, masks. InvalidArgument: another audience, authority without a case or a case without authority; NotFound: no
/// such case. Errors of runStudy, toldCounts, toldPlaces.
struct PreparedHandOver {
  HandOverDraft draft;
  RunOutcome run;  ///< for the map's ground and the receipts
};
Result<PreparedHandOver> prepareHandOver(const HandOverRequest& request, Progress& progress);

/// After the files were written and checked: the log, what was told for the first time, and a receipt a file. `files`: name and SHA-256.
Result<void> keepHandOver(const PreparedHandOver& done, const std::vector<std::pair<std::string, std::string>>& files, Progress& progress);

}  // namespace leeward::study
