#pragma once
/// A quick look at the plan as SVG, for whoever changes it.
#include "sample-data/generator/plan.h"

namespace leeward::town {
std::string picture(const Plan& plan, const std::vector<Point>& dots);
}
