#pragma once
/// What is due: what was promised, and what comes round by itself.
#include <string>
#include <vector>

#include "analysis/coverage/states.h"
#include "viewer/study/run/book.h"

namespace leeward::study {

/// How far ahead the list looks; promises and appointments, whatever their day, are all in it.
inline constexpr int kDueAheadDays = 366;

/// One row a thing that is due, ordered by due, then premises: the columns of Findings::due. Kinds:
///   promise     a return that no answered look has kept yet; without a day of its own it is due from the day of the promise
///   appointment an appointment of the animal's (analysis/outcomes/appointments.h) with who brings it; unlike a promise to come it isn't kept by a visit
///               before its day
///   treatment   the next one of a product, by the latest giving of it to an animal that is there
///   visit       a known dog's service interval runs out (not where a promise brings the crew there anyway)
///   note        a note was left and nobody has been reached since: call back after [due] note_days, at another hour
///   unanswered  knocked at least twice and nobody ever came, without a note: [due] note_days after the last knock, with the parts of the day and week not
///               tried yet
///   referral    no answer is recorded: ask again after [due] referral_days
///   permission  the latest permission ends
///   straw       in for each house before the earliest frost of the station's record, where none went in this winter; out after the latest frost
///               of the winter that it went in for, and stays in the list until somebody took it out. Without weather days that hold a whole winter with frost: none.
///   urgent      an animal left, at its latest check, without water, with a wound, a collar that doesn't fit or a body condition at the two worst
///               steps: due [due] urgent_hours after that check, with whom to call from the study's own list
/// What to bring (bring): bales of straw; the product that an animal is due (one for each giving, never a dose); what puts right the items that the
/// latest check left unmet ([due] bring); known items that a promise names.
/// Doors asked not to return to, and animals that are gone, are left out (a referral isn't: it is asked for at the authority).
Result<Table> dueTable(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, const analysis::DoorCoverage& doors);

/// What of it is due by `until`.
Table dueBy(const Table& ahead, Date until);

}  // namespace leeward::study
