#pragma once
/// The days that the record covers.
#include "shared/base/dates.h"

namespace leeward::town {
inline constexpr Date kFirstDay{19266};  ///< 2022-10-01
inline constexpr Date kLastDay{20361};   ///< 2025-09-30
inline constexpr int kDays = kLastDay.days - kFirstDay.days + 1;
}  // namespace leeward::town
