#include "analysis/need/index.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <unordered_map>

#include <fmt/format.h>

#include "shared/base/missing.h"
#include "shared/base/random.h"

namespace leeward::analysis {

namespace {

constexpr double kMarginToDeviation = 1.0 / 1.645;  // ACS General Handbook: 90 % margins

/// Mid-rank percentiles (rank - 0.5) / n of what isn't nan.
std::vector<double> percentiles(const std::vector<double>& values, bool more_is_more) {
  std::vector<std::uint32_t> rows;
  for (std::size_t i = 0; i < values.size(); ++i)
    if (!std::isnan(values[i])) rows.push_back(static_cast<std::uint32_t>(i));
  std::ranges::sort(rows, [&](std::uint32_t a, std::uint32_t b) { return values[a] < values[b]; });
  std::vector<double> scores(values.size(), kNan);
  const auto n = static_cast<double>(rows.size());
  for (std::size_t first = 0; first < rows.size();) {
    std::size_t last = first;
    while (last < rows.size() && values[rows[last]] == values[rows[first]]) ++last;
    const double middle = static_cast<double>(first + last) / 2 / n;
    for (std::size_t i = first; i < last; ++i) scores[rows[i]] = more_is_more ? middle : 1 - middle;
    first = last;
  }
  return scores;
}

// Source areas numbered from 0 in order of first block.
std::vector<std::uint32_t> sourceNumbers(const NeedIndicator& indicator, std::size_t blocks) {
  std::vector<std::uint32_t> numbers(blocks);
  if (indicator.source_area.empty()) {
    std::iota(numbers.begin(), numbers.end(), 0U);
    return numbers;
  }
  std::unordered_map<std::int32_t, std::uint32_t> seen;
  for (std::size_t b = 0; b < blocks; ++b)
    numbers[b] = seen.try_emplace(indicator.source_area[b], static_cast<std::uint32_t>(seen.size())).first->second;
  return numbers;
}

std::vector<double> drawValues(const NeedIndicator& indicator, const std::vector<std::uint32_t>& sources, Random& random) {
  std::vector<double> values = indicator.values;
  if (indicator.margin.empty()) return values;
  std::vector<double> errors;
  for (std::size_t b = 0; b < values.size(); ++b) {
    while (errors.size() <= sources[b]) errors.push_back(random.normal());
    if (indicator.margin[b] > 0) values[b] += errors[sources[b]] * indicator.margin[b] * kMarginToDeviation;
  }
  return values;
}

void combine(const std::vector<NeedIndicator>& indicators, const std::vector<std::vector<double>>& scores,
             std::vector<double>& need, std::vector<double>* share_missing) {
  double all = 0;
  for (const NeedIndicator& indicator : indicators) all += indicator.weight;
  for (std::size_t b = 0; b < need.size(); ++b) {
    double sum = 0, there = 0;
    for (std::size_t i = 0; i < indicators.size(); ++i) {
      if (std::isnan(scores[i][b])) continue;
      sum += indicators[i].weight * scores[i][b];
      there += indicators[i].weight;
    }
    need[b] = there > 0 ? sum / there : kNan;
    if (share_missing != nullptr) (*share_missing)[b] = all > 0 ? 1 - there / all : 1;
  }
}

Result<void> drawLimits(NeedIndex& index, std::size_t blocks, const std::vector<NeedIndicator>& indicators,
                        const NeedOptions& options, Progress& progress) {
  std::vector<std::vector<std::uint32_t>> sources;
  for (const NeedIndicator& indicator : indicators) sources.push_back(sourceNumbers(indicator, blocks));
  const auto draws = static_cast<std::size_t>(options.draws);
  std::vector<std::vector<double>> drawn(draws, std::vector<double>(blocks));
  Progress drawing = progress.part(0, 0.9);
  LEEWARD_TRY(drawing.parallelFor(draws, 1, [&](std::size_t begin, std::size_t end) {
    for (std::size_t d = begin; d < end; ++d) {
      Random random(options.seed, d);
      std::vector<std::vector<double>> scores;
      for (std::size_t i = 0; i < indicators.size(); ++i)
        scores.push_back(percentiles(drawValues(indicators[i], sources[i], random), indicators[i].more_is_more_need));
      combine(indicators, scores, drawn[d], nullptr);
    }
  }));
  const auto tail = static_cast<std::ptrdiff_t>((1 - options.level) / 2 * static_cast<double>(draws));
  std::vector<double> values(draws);
  for (std::size_t b = 0; b < blocks; ++b) {
    if (std::isnan(index.need[b])) continue;
    for (std::size_t d = 0; d < draws; ++d) values[d] = drawn[d][b];
    std::ranges::sort(values);
    index.low[b] = std::min(values[tail], index.need[b]);
    index.high[b] = std::max(values[static_cast<std::ptrdiff_t>(draws) - 1 - tail], index.need[b]);
  }
  return {};
}

Result<void> checkIndicators(std::size_t blocks, const std::vector<NeedIndicator>& indicators, const NeedOptions& options) {
  const auto wrong = [](std::string what, const NeedIndicator& at) {
    return Problem{ProblemCode::InvalidArgument, std::move(what), fmt::format("need indicator {}", at.label), ""};
  };
  double weights = 0;
  for (const NeedIndicator& indicator : indicators) {
    const auto fits = [&](std::size_t size) { return size == 0 || size == blocks; };
    if (indicator.values.size() != blocks || !fits(indicator.margin.size()) || !fits(indicator.source_area.size()))
      return wrong("it has another length than the blocks", indicator);
    if (!(indicator.weight >= 0)) return wrong("its weight must not be negative", indicator);
    weights += indicator.weight;
  }
  if (!indicators.empty() && !(weights > 0)) return wrong("no indicator has a weight above 0", indicators.front());
  if (!(options.level > 0 && options.level < 1) || options.draws < 0)
    return Problem{ProblemCode::InvalidArgument, "the level must lie between 0 and 1 and draws must not be negative", "", ""};
  return {};
}

}  // namespace

Result<NeedIndex> needIndex(std::size_t blocks, const std::vector<NeedIndicator>& indicators, const NeedOptions& options,
                            Progress& progress) {
  LEEWARD_TRY(checkIndicators(blocks, indicators, options));
  NeedIndex index;
  index.need.assign(blocks, kNan);
  index.share_missing.assign(blocks, 1);
  bool has_margins = false;
  for (const NeedIndicator& indicator : indicators) {
    index.scores.push_back(percentiles(indicator.values, indicator.more_is_more_need));
    has_margins |= std::ranges::any_of(indicator.margin, [](double m) { return m > 0; });
    std::vector<double> known;
    std::ranges::copy_if(indicator.values, std::back_inserter(known), [](double v) { return !std::isnan(v); });
    if (known.empty())
      index.remarks.push_back(fmt::format("{} has no value in any block and tells nothing.", indicator.label));
    else if (known.size() > 1 && std::ranges::all_of(known, [&](double v) { return v == known.front(); }))
      index.remarks.push_back(fmt::format("{} is the same in every block and tells nothing.", indicator.label));
  }
  if (!indicators.empty()) combine(indicators, index.scores, index.need, &index.share_missing);
  index.low = index.high = index.need;
  if (has_margins && options.draws > 0) LEEWARD_TRY(drawLimits(index, blocks, indicators, options, progress));
  return index;
}

}  // namespace leeward::analysis
