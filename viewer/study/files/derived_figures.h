#pragma once
/// Figures made of apportioned ones, with their margins, and how far each can be relied on.
#include <string>
#include <vector>

#include "shared/layer/layer.h"

namespace leeward::study {

/// NAME=sum:A+B+..., NAME=proportion:A/B, NAME=ratio:A/B or NAME=product:A*B; the parts are figures of the same call, or derived before.
struct DerivedFigure {
  enum class By { Sum, Proportion, Ratio, Product };
  std::string name;
  std::vector<std::string> parts;  ///< two; of a sum two or more
  By by = By::Ratio;
};
/// InvalidArgument says how it is written, and refuses a name that stands twice.
Result<std::vector<DerivedFigure>> derivedFigures(const std::vector<std::string>& words);

/// Coefficients of variation up to `high` are of high reliability, above `medium` of low. The ACS General Handbook sets no limits; 15 and 30 % are those of several
/// state data centres (from memory).
struct Reliability {
  double high = 0.15, medium = 0.30;
};

/// A figure of the layer, and the column of its margin ("" = none).
struct FigureColumns {
  std::string value, margin;
};

/// Adds value (and NAME_moe where both parts have margins) of each derived figure; nan where the lower part is 0 or a part is missing.
/// A proportion's parts are of one whole; margins by analysis/overlay/margins.h. A proportion above 1 is treated as a ratio, and that is said. InvalidArgument for a part that is no figure of the call.
Result<void> addDerived(Layer& layer, const std::vector<DerivedFigure>& derived, std::vector<FigureColumns>& figures);
/// Adds NAME_cv (a share) and NAME_reliability (high, medium, low) for each figure with a margin; margins are 90 %. Blank where the estimate is 0 or missing.
void addReliability(Layer& layer, const std::vector<FigureColumns>& figures, const Reliability& limits);

}  // namespace leeward::study
