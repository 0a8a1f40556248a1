#pragma once
/// Subjects in the order of their times, as estimates of survival walk through them.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>
#include <vector>

#include "shared/base/result.h"

namespace leeward::analysis {

inline Result<void> checkSubjects(std::span<const double> time, std::size_t marks) {
  if (time.size() != marks) return Problem{ProblemCode::InvalidArgument, "there must be one mark a time", "", ""};
  if (std::ranges::any_of(time, [](double t) { return !(t >= 0) || std::isinf(t); })) {
    return Problem{ProblemCode::InvalidArgument, "a time is missing or below 0", "", "Leave such rows out"};
  }
  return {};
}

inline std::vector<std::size_t> byTime(std::span<const double> time) {
  std::vector<std::size_t> order(time.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::stable_sort(order, {}, [&](std::size_t i) { return time[i]; });
  return order;
}

/// Calls visit(time, subjects of that time, at risk just before), time after time.
template <class Visit>
void throughTimes(std::span<const double> time, const std::vector<std::size_t>& order, Visit visit) {
  for (std::size_t from = 0; from < order.size();) {
    std::size_t to = from;
    while (to < order.size() && time[order[to]] == time[order[from]]) ++to;
    visit(time[order[from]], std::span(order).subspan(from, to - from), order.size() - from);
    from = to;
  }
}

}  // namespace leeward::analysis
