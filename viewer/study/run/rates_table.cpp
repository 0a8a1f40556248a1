// ratesTable(): what changed, as rates with their intervals.
#include <array>
#include <map>
#include <string>
#include <vector>

#include "analysis/rates/compare.h"
#include "shared/base/missing.h"
#include "viewer/study/run/outcomes.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using ChangeCounts = analysis::ChangeCounts;

/// A count over what it is told of. Animals over animals are shares; animals over doors are events.
struct Measure {
  const char* name;
  std::int64_t ChangeCounts::*count;
  std::int64_t ChangeCounts::*of;
  double per;
  bool is_share;
};
constexpr std::array<Measure, 5> kMeasures = {{{"improved, of the animals rechecked", &ChangeCounts::rechecked_improved, &ChangeCounts::rechecked, 100, true},
                                               {"neutered, of the animals met", &ChangeCounts::neutered, &ChangeCounts::dogs_met, 100, true},
                                               {"given up, of the animals met", &ChangeCounts::given_up, &ChangeCounts::dogs_met, 100, true},
                                               {"referred, of the animals met", &ChangeCounts::referred, &ChangeCounts::dogs_met, 100, true},
                                               {"animals first met, by planned doors", &ChangeCounts::first_met, &ChangeCounts::planned_doors, 1000, false}}};
constexpr double kWarning = 0.95, kAlarm = 0.998;  ///< Spiegelhalter 2005

struct Pooled {
  double count = 0, of = 0;
  int areas = 0;
};

struct RateColumns {
  std::vector<std::string> id, name, period, measure, beyond;
  std::vector<std::int64_t> count, of, per;
  std::vector<double> rate, low, high, change, change_low, change_high, funnel_low, funnel_high;
};

analysis::Interval limitsOf(const Measure& measure, double count, double of, double level) {
  if (measure.is_share) return analysis::wilson(count, of, level);  // nan where more came of it than were met (cases without an animal)
  const auto limits = analysis::garwood(count, level);
  return of > 0 ? analysis::Interval{limits.low / of, limits.high / of} : analysis::Interval{kNan, kNan};
}

void addChange(const Measure& measure, const ChangeCounts& now, const ChangeCounts* before, double level, RateColumns& out) {
  double change = kNan;
  analysis::Interval limits{kNan, kNan};
  if (before != nullptr) {
    const auto a = static_cast<double>(now.*measure.count), of_a = static_cast<double>(now.*measure.of);
    const auto b = static_cast<double>(before->*measure.count), of_b = static_cast<double>(before->*measure.of);
    if (!measure.is_share) {
      const auto ratio = analysis::rateRatio(a, of_a, b, of_b, level);
      change = ratio.ratio, limits = ratio.limits;
    } else if (of_a > 0 && of_b > 0 && a <= of_a && b <= of_b) {
      const auto difference = analysis::differenceOfShares(a, of_a, b, of_b, level);
      change = measure.per * (a / of_a - b / of_b), limits = {measure.per * difference.low, measure.per * difference.high};
    }
  }
  out.change.push_back(change), out.change_low.push_back(limits.low), out.change_high.push_back(limits.high);
}

void addFunnel(const Measure& measure, double count, double of, const Pooled& pooled, RateColumns& out) {
  analysis::Interval warning{kNan, kNan};
  std::string beyond;
  if (pooled.areas > 1 && pooled.of > 0 && of > 0) {
    const double all = pooled.count / pooled.of, own = count / of;
    const auto funnel = [&](double level) { return measure.is_share ? analysis::funnelOfShare(all, of, level) : analysis::funnelOfRate(all, of, level); };
    warning = funnel(kWarning);
    const auto alarm = funnel(kAlarm);
    if (own < alarm.low || own > alarm.high) beyond = "99.8 %";
    else if (own < warning.low || own > warning.high) beyond = "95 %";
  }
  out.funnel_low.push_back(measure.per * warning.low), out.funnel_high.push_back(measure.per * warning.high), out.beyond.push_back(beyond);
}

}  // namespace

Table ratesTable(const std::vector<analysis::ChangedRow>& rows, const std::vector<std::string>& area_ids, const std::vector<std::string>& area_names, double level) {
  std::map<std::pair<Period, std::size_t>, Pooled> pooled;
  for (const auto& row : rows) {
    for (std::size_t m = 0; m < kMeasures.size(); ++m) {
      if (row.*kMeasures[m].of == 0) continue;
      auto& all = pooled[{row.period, m}];
      all.count += static_cast<double>(row.*kMeasures[m].count), all.of += static_cast<double>(row.*kMeasures[m].of), ++all.areas;
    }
  }
  RateColumns out;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto& row = rows[i];
    const bool follows = i > 0 && rows[i - 1].area == row.area && row.isWhole() && rows[i - 1].isWhole();
    for (std::size_t m = 0; m < kMeasures.size(); ++m) {
      const Measure& measure = kMeasures[m];
      const auto count = static_cast<double>(row.*measure.count), of = static_cast<double>(row.*measure.of);
      out.id.push_back(row.area >= 0 ? area_ids[static_cast<std::size_t>(row.area)] : "");
      out.name.push_back(row.area >= 0 ? area_names[static_cast<std::size_t>(row.area)] : "elsewhere");
      out.period.push_back(row.period.name()), out.measure.emplace_back(measure.name);
      out.count.push_back(row.*measure.count), out.of.push_back(row.*measure.of), out.per.push_back(static_cast<std::int64_t>(measure.per));
      const auto limits = limitsOf(measure, count, of, level);
      out.rate.push_back(of > 0 ? measure.per * count / of : kNan), out.low.push_back(measure.per * limits.low), out.high.push_back(measure.per * limits.high);
      addChange(measure, row, follows ? &rows[i - 1] : nullptr, level, out);
      addFunnel(measure, count, of, pooled[{row.period, m}], out);
    }
  }
  return TableMaker{}
      .named("area_id", out.id).texts("area_name", out.name).texts("period", out.period).texts("measure", out.measure).integers("count", out.count).integers("of", out.of)
      .integers("per", out.per).rounded("rate", out.rate).rounded("low", out.low).rounded("high", out.high).rounded("change", out.change).rounded("change_low", out.change_low)
      .rounded("change_high", out.change_high).rounded("funnel_low", out.funnel_low).rounded("funnel_high", out.funnel_high).named("beyond", out.beyond).done();
}

}  // namespace leeward::study
