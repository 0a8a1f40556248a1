#include "viewer/study/run/patterns.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/patterns/adjusted_p.h"
#include "analysis/patterns/local_patterns.h"
#include "analysis/rates/classes.h"
#include "analysis/rates/intervals.h"
#include "analysis/regression/count_regression.h"
#include "analysis/scans/scan.h"
#include "analysis/surfaces/density.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/files/neighbour_lists.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr std::size_t kManyBlocks = 5000, kReplicates = 999, kReplicatesOfMany = 199, kMostCircles = 5;
constexpr double kEventsATerm = 10;  ///< found doors for each term of the regression (Peduzzi et al. 1996, J. Clin. Epidemiol. 49, 1373-1379)

/// Blocks by their effort, and what each of the methods says of them.
struct BlockPatterns {
  std::vector<double> effort, found, adjusted, gstar, p, q, moran, nearby;
  std::vector<std::string> stands_out;
  std::vector<std::optional<std::int64_t>> circle;
};

/// Those that the study file names; by itself, blocks that touch, or the six nearest where over a third of them touch nobody (drawn to the kerb).
Result<NeighbourLists> neighboursOf(const RunContext& context, const Layer& blocks, Progress& progress) {
  const auto& kind = context.study.patterns.neighbours;
  if (kind != "auto") return neighbourLists(blocks, "blocks", {.kind = kind, .id = ""}, progress);
  LEEWARD_ASSIGN(touching, neighbourLists(blocks, "blocks", {.kind = "queen", .id = ""}, progress));
  if (3 * touching.islands <= blocks.rows()) return touching;
  return neighbourLists(blocks, "blocks", {.kind = "nearest:6", .id = ""}, progress);
}

Result<void> findLocal(const RunContext& context, const analysis::Neighbours& neighbours, BlockPatterns& out, PatternFacts& facts, Progress progress) {
  LEEWARD_ASSIGN(even, analysis::moran(out.adjusted, neighbours));
  facts.even = std::move(even);
  LEEWARD_ASSIGN(local, analysis::localPatterns(out.adjusted, neighbours, {.permutations = context.study.patterns.permutations, .seed = context.study.seed}, progress));
  out.gstar = std::move(local.gstar), out.moran = std::move(local.moran), out.p = std::move(local.p);
  for (std::size_t row = 0; row < out.p.size(); ++row) {
    if (std::isnan(out.gstar[row])) out.p[row] = kNan;  // a neighbour of all others: nothing is tested
  }
  out.q = analysis::adjustedP(out.p);
  for (std::size_t row = 0; row < out.q.size(); ++row) {
    facts.tested += std::isnan(out.q[row]) ? 0 : 1;
    if (!(out.q[row] <= 1 - context.study.level)) continue;
    out.stands_out[row] = out.gstar[row] > 0 ? "more" : "fewer";
    ++(out.gstar[row] > 0 ? facts.more : facts.fewer);
  }
  return {};
}

/// How unlike blocks are beyond chance, so that a scan's replicates may be as unlike; nothing where they are no more so than chance.
Result<std::optional<double>> spreadOf(const BlockPatterns& blocks, Progress& progress) {
  auto fit = analysis::countRegression({.events = blocks.found, .exposure = blocks.effort, .columns = {}, .kind = analysis::CountKind::NegativeBinomial}, progress);
  if (!fit) {
    if (fit.problem().code == ProblemCode::Cancelled) return std::move(fit).problem();
    return std::optional<double>();
  }
  return std::isfinite(fit->theta) && fit->theta > 0 ? std::optional(fit->theta) : std::nullopt;
}

Result<Layer> findCircles(const RunContext& context, const Layer& blocks, BlockPatterns& out, PatternFacts& facts, Progress progress) {
  const auto& settings = context.study.patterns;
  analysis::ScanAreas areas;
  std::vector<std::size_t> row_of;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    if (!(out.effort[row] > 0) || blocks.geometry.kind(row) != GeometryKind::Areas) continue;
    row_of.push_back(row);
    areas.places.push_back(pointInside(blocks.geometry, row));
    areas.events.push_back(out.found[row]), areas.exposure.push_back(out.effort[row]);
  }
  analysis::ScanRequest request;
  request.largest = settings.largest;
  request.replicates = settings.replicates > 0 ? static_cast<std::size_t>(settings.replicates) : row_of.size() > kManyBlocks ? kReplicatesOfMany : kReplicates;
  request.seed = context.study.seed;
  request.most_clusters = kMostCircles;
  LEEWARD_ASSIGN(theta, spreadOf(out, progress));
  request.theta = theta;
  facts.replicates = request.replicates, facts.theta = theta.value_or(0);
  LEEWARD_ASSIGN(found, analysis::scanAreas(areas, request, progress));

  Layer layer;
  layer.name = "circles";
  layer.crs = blocks.crs;
  std::vector<std::int64_t> rank, count;
  std::vector<std::string> centre, members;
  std::vector<double> radius, observed, expected, risk, p, gumbel;
  for (const auto& circle : found.clusters) {
    rank.push_back(static_cast<std::int64_t>(rank.size()) + 1), count.push_back(static_cast<std::int64_t>(circle.members.size()));
    centre.push_back(facts.facts.id[row_of[circle.centre]]);
    std::vector<std::string> names;
    std::vector<std::size_t> rows;
    for (const auto place : circle.members) {
      rows.push_back(row_of[place]), names.push_back(facts.facts.id[rows.back()]);
      if (circle.p <= 1 - context.study.level) out.circle[rows.back()] = rank.back();
    }
    members.push_back(join(names, ";"));
    radius.push_back(circle.radius), observed.push_back(circle.observed), expected.push_back(circle.expected), p.push_back(circle.p), gumbel.push_back(circle.p_gumbel);
    risk.push_back(std::isfinite(circle.relative_risk) ? circle.relative_risk : kNan);
    layer.geometry.addCopy(unionOf(blocks.geometry, rows), 0);
  }
  layer.table = TableMaker{}.integers("rank", rank).integers("blocks", count).texts("centre", centre).texts("members", members).rounded("radius", radius).rounded("observed", observed)
      .rounded("expected", expected).rounded("relative_risk", risk).rounded("p", p).rounded("p_gumbel", gumbel).done();
  return layer;
}

/// Finds a planned look around each block: both spread by one kernel, so that edges cancel. Nothing where less than five looks lie within the kernel's reach.
Result<void> findNearby(const RunContext& context, const Layer& blocks, const analysis::WhereNext& found, const analysis::Record& record, BlockPatterns& out, Progress progress) {
  constexpr double kLeastLooks = 5;
  std::vector<Point> finds, looks;
  Bbox box;
  for (std::size_t door = 0; door < record.doors.size(); ++door) {
    const Point at = record.doors.position[door];
    if (!std::isfinite(at.x) || !std::isfinite(at.y) || record.doors.block[door] == analysis::kNowhere) continue;
    looks.insert(looks.end(), static_cast<std::size_t>(found.effort.looks_at_door[door]), at);
    if (found.effort.found_at_door[door] != 0) finds.push_back(at);
    if (found.effort.looks_at_door[door] > 0) box.add(at);
  }
  if (finds.empty()) return {};
  const analysis::Kernel kernel(analysis::KernelForm::Gaussian, context.study.patterns.nearby_m);
  // Cells of a third of the bandwidth, larger only where the study is so wide that they would be too many.
  const double cell = std::max(kernel.bandwidth() / 3, std::max(box.width(), box.height()) / 3000);
  Raster below;
  below.cell_x = below.cell_y = cell;
  below.left = box.min_x - kernel.bandwidth(), below.top = box.max_y + kernel.bandwidth();
  below.columns = static_cast<std::size_t>(std::ceil((box.width() + 2 * kernel.bandwidth()) / cell)) + 1;
  below.rows = static_cast<std::size_t>(std::ceil((box.height() + 2 * kernel.bandwidth()) / cell)) + 1;
  below.crs = context.frame;
  Raster above = below;
  auto first = progress.part(0, 0.3), second = progress.part(0.3, 1);
  LEEWARD_TRY(analysis::fillDensity(finds, {.kernel = kernel}, {.box = box}, above, first));
  LEEWARD_TRY(analysis::fillDensity(looks, {.kernel = kernel}, {.box = box}, below, second));
  analysis::divideDensity(above, below, kernel, kLeastLooks);
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    if (blocks.geometry.kind(row) != GeometryKind::Areas) continue;
    const Point at = pointInside(blocks.geometry, row);
    const double column = std::floor((at.x - above.left) / cell), line = std::floor((above.top - at.y) / cell);
    if (column < 0 || line < 0 || column >= static_cast<double>(above.columns) || line >= static_cast<double>(above.rows)) continue;
    out.nearby[row] = static_cast<double>(above.at(static_cast<std::size_t>(line), static_cast<std::size_t>(column)));
  }
  return {};
}

/// Quarters of a column over the blocks that take part; nothing where it is known nowhere or is one value.
struct Explaining {
  analysis::ExplainingColumn column;
  double from = kNan, to = kNan;
};
std::optional<Explaining> explainingColumn(const std::string& name, const std::vector<double>& values, const std::vector<double>& effort) {
  std::vector<double> known;
  for (std::size_t row = 0; row < values.size(); ++row) {
    if (std::isfinite(values[row]) && effort[row] > 0) known.push_back(values[row]);
  }
  if (known.empty()) return std::nullopt;
  std::ranges::sort(known);
  Explaining made{{name, values}, analysis::quantileOfSorted(known, 0.25), analysis::quantileOfSorted(known, 0.75)};
  return made.to > made.from ? std::optional(std::move(made)) : std::nullopt;
}

Table explainedTable(const analysis::CountRegression& fit, const std::vector<Explaining>& with, double level) {
  const double reach = analysis::normalReach(level);
  std::vector<std::string> names;
  std::vector<double> coefficient, error, robust, z, p, from, to, ratio, low, high;
  for (std::size_t i = 0; i < fit.terms.size(); ++i) {
    const auto& term = fit.terms[i];
    const double step = i == 0 ? kNan : with[i - 1].to - with[i - 1].from;
    names.push_back(term.name), coefficient.push_back(term.coefficient), error.push_back(term.standard_error), robust.push_back(term.robust_hc1);
    z.push_back(term.coefficient / term.robust_hc1), p.push_back(std::erfc(std::abs(z.back()) / std::sqrt(2.0)));
    from.push_back(i == 0 ? kNan : with[i - 1].from), to.push_back(i == 0 ? kNan : with[i - 1].to);
    ratio.push_back(std::exp(term.coefficient * step));
    low.push_back(std::exp((term.coefficient - reach * term.robust_hc1) * step)), high.push_back(std::exp((term.coefficient + reach * term.robust_hc1) * step));
  }
  const std::vector<std::int64_t> rows(names.size(), static_cast<std::int64_t>(fit.rows));
  return TableMaker{}.texts("term", names).rounded("coefficient", coefficient).rounded("standard_error", error).rounded("robust", robust).rounded("z", z).rounded("p", p).rounded("from", from)
      .rounded("to", to).rounded("ratio", ratio).rounded("low", low).rounded("high", high).integers("rows", rows)
      .rounded("theta", std::vector<double>(names.size(), std::isfinite(fit.theta) ? fit.theta : kNan)).done();
}

Result<Table> explain(const RunContext& context, const BlockPatterns& blocks, const analysis::Neighbours& neighbours, PatternFacts& facts, Progress progress) {
  std::vector<Explaining> with;
  const auto& indicators = context.study.indicators;
  const bool need_is_heat = std::ranges::all_of(indicators, [](const auto& one) { return one.column == "heat"; });
  if (auto heat = explainingColumn("heat", facts.facts.heat, blocks.effort)) with.push_back(std::move(*heat));
  if (auto need = explainingColumn("need", facts.facts.need, blocks.effort); need && !(need_is_heat && !with.empty())) with.push_back(std::move(*need));
  if (with.empty()) facts.not_explained = "Neither heat nor a need index is known for the blocks that were looked at";
  else if (facts.found_doors < kEventsATerm * static_cast<double>(with.size() + 1)) facts.not_explained = fmt::format("{:.0f} found doors are too few to tell what goes with them", facts.found_doors);
  if (!facts.not_explained.empty()) return Table{};
  std::vector<analysis::ExplainingColumn> columns;
  for (const auto& one : with) columns.push_back(one.column);
  auto fit = analysis::countRegression({.events = blocks.found, .exposure = blocks.effort, .columns = columns, .kind = analysis::CountKind::NegativeBinomial}, progress);
  if (!fit) {
    if (fit.problem().code == ProblemCode::Cancelled) return std::move(fit).problem();
    facts.not_explained = "What goes with the finds could not be worked out (" + fit.problem().what + ")";
    return Table{};
  }
  LEEWARD_ASSIGN(left, analysis::moran(fit->residual, neighbours));
  facts.left = std::move(left);
  return explainedTable(*fit, with, context.study.level);
}

/// Whole blocks in place of a hull, whose corners would be at homes.
Layer outlinesOf(const Layer& blocks, const std::vector<std::string>& block_ids, const std::vector<std::int32_t>& doors, const SightingLayers& sighted) {
  std::map<std::string, std::size_t> row_of;
  for (std::size_t row = 0; row < block_ids.size(); ++row) row_of.emplace(block_ids[row], row);
  const Table& clusters = sighted.clusters.table;
  std::vector<std::set<std::size_t>> held(clusters.rows());
  const Column& cluster = columnOf(sighted.sightings.table, "cluster");
  const Column& block = columnOf(sighted.sightings.table, "block_id");
  for (std::size_t row = 0; row < sighted.sightings.rows(); ++row) {
    const auto of = cluster.asInteger(row);
    if (of && !block.isMissing(row)) held[static_cast<std::size_t>(*of)].insert(row_of.at(block.asText(row)));
  }
  Layer layer;
  layer.name = "outlines";
  layer.crs = blocks.crs;
  layer.table = clusters;
  std::vector<std::int64_t> count, homes;
  for (const auto& rows : held) {
    count.push_back(static_cast<std::int64_t>(rows.size()));
    std::int64_t all = 0;
    for (const auto row : rows) all += doors[row];
    homes.push_back(all);
    if (rows.empty()) layer.geometry.addNone();
    else layer.geometry.addCopy(unionOf(blocks.geometry, {rows.begin(), rows.end()}), 0);
  }
  const Table more = TableMaker{}.integers("blocks", count).integers("doors", homes).done();
  for (std::size_t i = 0; i < more.width(); ++i) layer.table.add(more.column(i));
  return layer;
}

Table blocksTable(const std::vector<std::string>& ids, const BlockPatterns& found) {
  std::vector<std::int64_t> doors;
  for (const double count : found.found) doors.push_back(static_cast<std::int64_t>(count));
  return TableMaker{}.texts("block_id", ids).rounded("effort", found.effort).integers("found_doors", doors).rounded("adjusted", found.adjusted).rounded("gstar_z", found.gstar).rounded("p", found.p)
      .rounded("q", found.q).rounded("moran_i", found.moran).named("stands_out", found.stands_out).integers("circle", found.circle).rounded("nearby", found.nearby).done();
}

}  // namespace

std::string patternsKey(const RunContext& context, const std::string& blocks_key, const std::string& cluster_key) {
  const auto& settings = context.study.patterns;
  return stepKey("patterns", {blocks_key, cluster_key, settings.neighbours, std::to_string(settings.permutations), std::to_string(settings.replicates), formatNumber(settings.largest),
                              formatNumber(settings.nearby_m)});
}

Result<PatternTables> patternProducts(Steps& steps, const std::string& key, Progress progress, const std::function<Result<PatternTables>(Progress&)>& make) {
  std::optional<PatternTables> made;
  double from = 0;
  const auto part = [&](const std::string& name, const char* title, auto&& pick) -> Result<Layer> {
    const double to = made || from > 0 ? from + 0.02 : 0.9;
    LEEWARD_ASSIGN(product, steps.product(name, title, key, progress.part(from, to), [&](Progress& step) -> Result<Layer> {
      if (!made) {
        LEEWARD_ASSIGN(tables, make(step));
        made = std::move(tables);
      }
      return pick(*made);
    }));
    from = to;
    return std::move(product.layer);
  };
  const auto named = [](const char* name, const Table& table) {
    Layer layer;
    layer.name = name;
    layer.table = table;
    return layer;
  };
  LEEWARD_ASSIGN(blocks, part("patterns-blocks", "Holding finds against effort", [&](const PatternTables& all) { return named("patterns", all.blocks); }));
  LEEWARD_ASSIGN(circles, part("patterns-circles", "Scanning for circles of finds", [](const PatternTables& all) { return all.circles; }));
  LEEWARD_ASSIGN(outlines, part("patterns-outlines", "Outlining clusters by whole blocks", [](const PatternTables& all) { return all.outlines; }));
  LEEWARD_ASSIGN(explained, part("patterns-explained", "Asking what goes with finds", [&](const PatternTables& all) { return named("explained", all.explained); }));
  LEEWARD_ASSIGN(told, part("patterns-told", "Putting it into words", [&](const PatternTables& all) { return named("told", all.told); }));
  return PatternTables{std::move(blocks.table), std::move(circles), std::move(outlines), std::move(explained.table), std::move(told.table)};
}

Result<PatternTables> patternsOf(const RunContext& context, const BlockFacts& facts, const analysis::WhereNext& found, const analysis::Record& record, const SightingLayers& sighted, Progress progress) {
  const Layer& blocks = *context.layer("blocks");
  const std::size_t n = blocks.rows();
  BlockPatterns out;
  out.effort = found.effort.effective_doors;
  out.found.assign(found.effort.found_doors.begin(), found.effort.found_doors.end());
  for (auto* column : {&out.adjusted, &out.gstar, &out.p, &out.q, &out.moran, &out.nearby}) column->assign(n, kNan);
  out.stands_out.resize(n), out.circle.resize(n);
  PatternFacts told{.facts = facts, .level = context.study.level, .permutations = context.study.patterns.permutations, .nearby_m = context.study.patterns.nearby_m};
  for (std::size_t row = 0; row < n; ++row) {
    // A find has effort of its own (effort.h); a block without any tells nothing.
    if (!(out.effort[row] > 0)) out.effort[row] = 0, out.found[row] = 0;
    told.looked += out.effort[row] > 0 ? 1 : 0, told.effort += out.effort[row], told.found_doors += out.found[row];
  }
  PatternTables tables;
  tables.circles.name = "circles", tables.circles.crs = blocks.crs;
  if (told.looked >= kLeastForPatterns && told.found_doors >= static_cast<double>(kLeastForPatterns)) {
    LEEWARD_ASSIGN(adjusted, analysis::standardisedRates(out.found, out.effort));
    out.adjusted = std::move(adjusted);
    auto linking = progress.part(0, 0.1);
    LEEWARD_ASSIGN(lists, neighboursOf(context, blocks, linking));
    told.neighbours = lists.in_words;
    LEEWARD_TRY(findLocal(context, lists.neighbours, out, told, progress.part(0.1, 0.3)));
    LEEWARD_ASSIGN(circles, findCircles(context, blocks, out, told, progress.part(0.3, 0.8)));
    tables.circles = std::move(circles);
    LEEWARD_TRY(findNearby(context, blocks, found, record, out, progress.part(0.8, 0.9)));
    LEEWARD_ASSIGN(explained, explain(context, out, lists.neighbours, told, progress.part(0.9, 1)));
    tables.explained = std::move(explained);
  }
  tables.blocks = blocksTable(facts.id, out);
  tables.outlines = outlinesOf(blocks, facts.id, found.coverage.blocks.doors, sighted);
  tables.told = toldPatterns(told, tables, sighted.clusters.table);
  return tables;
}

}  // namespace leeward::study
