#pragma once
/// Whether a new file belongs to this study's place: asked before anything of it is kept.
#include <string>

#include "shared/ledger/ledger.h"
#include "viewer/study/run/context.h"

namespace leeward::study {

/// BadData if a layer lies more than 50 km from the study's other layers. Nothing to hold it against: fine.
Result<void> checkLies(RunContext& context, const std::string& kind, const std::string& file, const Layer& layer, Progress& progress);

/// BadData if, of at least 20 different addresses (up to 300 are looked at), fewer than 3 in 10 hold a word of a street's name of the study
/// (words such as "street" or "north" don't count). Towns share names like Oak and Main, so another town's log has some; our own
/// has nearly all, slips included. Without streets and address points: fine.
Result<void> checkStreets(RunContext& context, const std::string& file, const ImportBatch& batch, Progress& progress);

}  // namespace leeward::study
