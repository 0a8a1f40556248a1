#include "tests/unit/paper/town.h"

#include <numbers>

#include "shared/base/random.h"
#include "tests/unit/paper/columns.h"
#include "tests/unit/paper/street_names.h"
#include "tests/unit/paper/totals.h"

namespace leeward::test {
namespace {

constexpr int kColumns = 17, kRows = 14;
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// Corner (i, j) of the street grid, bent as old towns are; metres.
Point corner(double i, double j) {
  const double x = 152 * i + 34 * std::sin(j * 0.45), y = 118 * j + 42 * std::sin(i * 0.38 + 0.6);
  return {231'000 + x, 902'000 + y};
}

bool isRiver(int i, int j) { return i + (j > 6 ? 1 : 0) == 11 && j != 3; }

struct Block {
  int i, j;
  int doors, looked, looks, planned, known, overdue, finds;
  std::string state;
  double unmet, in_need, minutes, worth, need, heat;
};

std::string blockId(const Block& b) { return fmt::format("25{:03d}{:02d}", 10 * b.j + 1, b.i); }
std::string groupId(const Block& b) { return fmt::format("25{:02d}{:01d}", b.j / 4 + 1, b.i / 5 + 1); }

Block makeBlock(int i, int j, Random& random) {
  Block b{};
  b.i = i;
  b.j = j;
  b.doors = 12 + static_cast<int>(random.below(46));
  const double reach = std::exp(-std::hypot(i - 5.0, (j - 5.0) * 1.1) / 5.0);  // crews start from the south-west
  b.looked = random.uniform() < 0.16 + 0.2 * (1 - reach) && reach < 0.5
                 ? 0
                 : static_cast<int>(b.doors * std::min(0.95, reach * (0.6 + random.uniform())));
  b.looks = b.looked * 2;
  b.planned = b.looked;
  b.known = static_cast<int>(random.poisson(0.07 * b.looked));
  b.overdue = static_cast<int>(random.binomial(static_cast<std::uint32_t>(b.known), 0.25));
  b.finds = b.known / 2;
  b.state = b.looked == 0             ? "never"
            : b.overdue > 0           ? "overdue"
            : b.known > 0             ? "ontime"
            : random.uniform() < 0.25 ? "nobody"
                                      : "none";
  b.need = std::clamp(0.25 + 0.04 * j + 0.14 * random.normal(), 0.02, 0.99);
  b.heat = 0.3 + 0.03 * i + 0.1 * random.uniform();
  b.unmet = (b.doors - 0.7 * b.looked) * random.gamma(2.0, 0.02);
  b.in_need = b.unmet * (0.2 + 0.5 * b.need);
  b.minutes = 8 * b.doors - 4 * b.looked;
  b.worth = b.in_need / (b.minutes / 60);
  return b;
}

std::vector<Block> makeBlocks(Random& random) {
  std::vector<Block> blocks;
  for (int j = 0; j < kRows; ++j) {
    for (int i = 0; i < kColumns; ++i) {
      if (!isRiver(i, j) && !(i < 2 && j > 11) && !(i > 14 && j < 2)) blocks.push_back(makeBlock(i, j, random));
    }
  }
  return blocks;
}

std::vector<int> ranksOf(const std::vector<Block>& blocks) {
  std::vector<std::size_t> order(blocks.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return blocks[a].worth > blocks[b].worth; });
  std::vector<int> ranks(blocks.size());
  for (std::size_t k = 0; k < order.size(); ++k) ranks[order[k]] = static_cast<int>(k) + 1;
  return ranks;
}

std::string because(const Block& b) {
  return fmt::format(
      "{} of {} doors were never looked at; {:.1f} dogs not yet met are expected here, {:.1f} of them in need, for {:.1f} "
      "crew-hours.",
      b.doors - b.looked, b.doors, b.unmet, b.in_need, b.minutes / 60);
}

/// The columns that `leeward next` and the blocks share.
void addRanking(Table& t, const std::vector<Block>& blocks, const std::vector<int>& rank_of) {
  const auto rank = [&](const Block& b) { return rank_of[static_cast<std::size_t>(&b - blocks.data())]; };
  addInteger(t, "rank", blocks, [&](const Block& b) { return rank(b); });
  addInteger(t, "rank_low", blocks, [&](const Block& b) { return std::max(1, rank(b) - 3 - rank(b) / 4); });
  addInteger(t, "rank_high", blocks,
             [&](const Block& b) { return std::min<int>(static_cast<int>(blocks.size()), rank(b) + 5 + rank(b) / 2); });
  addReal(t, "unmet", blocks, [](const Block& b) { return b.unmet; });
  addReal(t, "unmet_in_need", blocks, [](const Block& b) { return b.in_need; });
  addInteger(t, "low", blocks, [](const Block& b) { return static_cast<std::int64_t>(b.unmet / 3); });
  addInteger(t, "high", blocks, [](const Block& b) { return static_cast<std::int64_t>(b.unmet * 1.8 + 2); });
  addReal(t, "mass", blocks, [](const Block& b) { return 0.9 + 0.05 * std::exp(-b.unmet); });
  addReal(t, "per_crew_hour", blocks, [](const Block& b) { return b.worth; });
  addReal(t, "chance_top_k", blocks, [&](const Block& b) { return 1 / (1 + std::exp((rank(b) - 22) / 5.0)); });
  addReal(t, "chance_rank_k", blocks, [&](const Block& b) { return 1 / (1 + std::exp((rank(b) - 17) / 4.0)); });
  addInteger(t, "doors", blocks, [](const Block& b) { return b.doors; });
  addInteger(t, "doors_looked", blocks, [](const Block& b) { return b.looked; });
  addText(t, "last_look", blocks,
          [](const Block& b) { return b.looked == 0 ? std::string() : toIso(Date{20'240 - 13 * b.i - 7 * b.j}); });
  addText(t, "state", blocks, [](const Block& b) { return b.state; });
  addText(t, "because", blocks, because);
}

Layer blockLayer(const std::vector<Block>& blocks) {
  Layer layer;
  layer.name = "blocks";
  addText(layer.table, "block_id", blocks, blockId);
  addText(layer.table, "streets", blocks, [](const Block& b) {
    const auto i = static_cast<std::size_t>(b.i), j = static_cast<std::size_t>(b.j);
    return fmt::format("{}, {}, {}, {}", kAcross[j + 1], kUp[i + 1], kAcross[j], kUp[i]);
  });
  addText(layer.table, "group_id", blocks, groupId);
  addReal(layer.table, "people", blocks, [](const Block& b) { return 2.3 * b.doors; });
  addReal(layer.table, "housing_units", blocks, [](const Block& b) { return 1.05 * b.doors; });
  addInteger(layer.table, "looks", blocks, [](const Block& b) { return b.looks; });
  addInteger(layer.table, "planned_looks", blocks, [](const Block& b) { return b.planned; });
  addInteger(layer.table, "dogs_known", blocks, [](const Block& b) { return b.known; });
  addInteger(layer.table, "dogs_overdue", blocks, [](const Block& b) { return b.overdue; });
  addInteger(layer.table, "finds", blocks, [](const Block& b) { return b.finds; });
  addReal(layer.table, "share_never", blocks, [](const Block& b) { return 1 - static_cast<double>(b.looked) / b.doors; });
  addReal(layer.table, "rate", blocks, [](const Block& b) { return (b.finds + 1.0) / (b.planned + 25.0); });
  addReal(layer.table, "rate_low", blocks, [](const Block& b) { return (b.finds + 0.3) / (b.planned + 25.0); });
  addReal(layer.table, "rate_high", blocks, [](const Block& b) { return (b.finds + 3.0) / (b.planned + 25.0); });
  addReal(layer.table, "need", blocks, [](const Block& b) { return b.i == 16 && b.j == 12 ? kNan : b.need; });
  addReal(layer.table, "heat", blocks, [](const Block& b) { return b.heat; });
  addReal(layer.table, "minutes", blocks, [](const Block& b) { return b.minutes; });
  addRanking(layer.table, blocks, ranksOf(blocks));
  for (const Block& b : blocks) {
    const double i = b.i, j = b.j;
    layer.geometry.addArea(std::vector<Point>{corner(i, j), corner(i + 0.5, j), corner(i + 1, j), corner(i + 1, j + 0.5),
                                              corner(i + 1, j + 1), corner(i + 0.5, j + 1), corner(i, j + 1), corner(i, j + 0.5),
                                              corner(i, j)});
  }
  return layer;
}

Layer streetLayer() {
  Layer layer;
  layer.name = "streets";
  Column name("name", Column::Kind::Text), kind("kind", Column::Kind::Text);
  const auto add = [&](const char* words, const char* what, Point a, Point b, Point c) {
    layer.geometry.addLine(std::vector<Point>{a, b, c});
    name.addText(words);
    kind.addText(what);
  };
  for (int j = 0; j <= kRows; ++j) {
    for (int i = 0; i < kColumns; ++i) {
      if (isRiver(i, j) && j % 4 != 0) continue;  // few bridges
      add(kAcross[static_cast<std::size_t>(j)], j == 4 || j == 8 ? "main" : "street", corner(i, j), corner(i + 0.5, j),
          corner(i + 1, j));
    }
  }
  for (int i = 0; i <= kColumns; ++i) {
    for (int j = 0; j < kRows; ++j) {
      add(kUp[static_cast<std::size_t>(i)], i == 7 ? "main" : "street", corner(i, j), corner(i, j + 0.5), corner(i, j + 1));
    }
  }
  layer.table.add(std::move(name));
  layer.table.add(std::move(kind));
  return layer;
}

Layer premisesLayer(const std::vector<Block>& blocks, Random& random) {
  Layer layer;
  layer.name = "premises";
  Column id("premises_id", Column::Kind::Text), block("block_id", Column::Kind::Text), address("address", Column::Kind::Text);
  Column looked("looked", Column::Kind::Integer), last("last_look", Column::Kind::Text),
      dogs("dogs_known", Column::Kind::Integer);
  Column state("state", Column::Kind::Text), asked("asked_not_to_return", Column::Kind::Integer);
  int serial = 0;
  for (const Block& b : blocks) {
    for (int d = 0; d < b.doors; ++d) {
      const double along = random.uniform(), side = random.uniform() < 0.5 ? 0.13 : 0.87;
      layer.geometry.addPoint(random.uniform() < 0.5 ? corner(b.i + along, b.j + side) : corner(b.i + side, b.j + along));
      id.addText(fmt::format("p{:05d}", ++serial));
      block.addText(blockId(b));
      address.addText(fmt::format("{} Quince Street", 100 * b.i + 2 * d));
      looked.addInteger(d < b.looked ? 1 : 0);
      if (d < b.looked)
        last.addText("2025-03-01");
      else
        last.addMissing();
      dogs.addInteger(d < b.known ? 1 : 0);
      state.addText(d >= b.looked ? "never" : d < b.overdue ? "overdue" : d < b.known ? "ontime" : "none");
      asked.addInteger(0);
    }
  }
  for (Column* column : {&id, &block, &address, &looked, &last, &dogs, &state, &asked}) layer.table.add(std::move(*column));
  return layer;
}

void addSightings(study::Findings& f, Random& random) {
  static constexpr std::array kWhat = {"dog", "dog", "dog", "dog", "house", "chain", "pen", "heard"};
  Column id("sighting_id", Column::Kind::Text), date("date", Column::Kind::Text), what("what", Column::Kind::Text);
  Column source("source", Column::Kind::Text), number("count", Column::Kind::Integer), cluster("cluster", Column::Kind::Integer);
  Column role("role", Column::Kind::Text), block("block_id", Column::Kind::Text);
  Column c_id("cluster", Column::Kind::Integer), c_n("sightings", Column::Kind::Integer), c_dogs("dogs", Column::Kind::Integer);
  Column c_first("first", Column::Kind::Text), c_last("last", Column::Kind::Text);
  int serial = 0;
  const auto add = [&](Point at, int in_cluster) {
    f.sightings.geometry.addPoint(at);
    id.addText(fmt::format("s{:04d}", ++serial));
    date.addText(toIso(Date{19'900 + static_cast<int>(random.below(350))}));
    what.addText(kWhat[random.below(kWhat.size())]);
    source.addText("caller");
    number.addInteger(1);
    if (in_cluster < 0)
      cluster.addMissing();
    else
      cluster.addInteger(in_cluster);
    role.addText(in_cluster < 0 ? "alone" : "core");
    block.addMissing();
  };
  for (int k = 0; k < 150; ++k) add(corner(random.uniform() * kColumns, random.uniform() * kRows), -1);
  for (int c = 0; c < 11; ++c) {
    const Point middle = corner(1.5 + random.uniform() * 14, 1 + random.uniform() * 12);
    const int n = 6 + static_cast<int>(random.below(12));
    for (int k = 0; k < n; ++k) add({middle.x + 45 * random.normal(), middle.y + 45 * random.normal()}, c);
    std::vector<Point> hull;
    for (int k = 0; k <= 10; ++k) {
      const double angle = 2 * std::numbers::pi * k / 10;
      hull.push_back({middle.x + 110 * std::cos(angle), middle.y + 95 * std::sin(angle)});
    }
    f.clusters.geometry.addArea(hull);
    c_id.addInteger(c);
    c_n.addInteger(n);
    c_dogs.addInteger(n / 3 + 1);
    c_first.addText("2024-07-02");
    c_last.addText("2025-05-28");
  }
  for (Column* column : {&id, &date, &what, &source, &number, &cluster, &role, &block}) f.sightings.table.add(std::move(*column));
  for (Column* column : {&c_id, &c_n, &c_dogs, &c_first, &c_last}) f.clusters.table.add(std::move(*column));
  f.totals.sightings = serial;
  f.totals.clusters = 11;
}

study::Findings::Context context(const char* kind, const std::vector<std::pair<const char*, std::vector<Point>>>& areas) {
  study::Findings::Context made{kind, {}};
  Column name("name", Column::Kind::Text);
  for (const auto& [words, ring] : areas) {
    made.layer.geometry.addArea(ring);
    name.addText(words);
  }
  made.layer.table.add(std::move(name));
  return made;
}

void addContext(study::Findings& f) {
  std::vector<Point> river;
  for (double j = -1; j <= kRows + 1; j += 0.5) river.push_back(corner((j > 6.5 ? 10.12 : 11.12), j));
  for (double j = kRows + 1; j >= -1; j -= 0.5) river.push_back(corner((j > 6.5 ? 10.9 : 11.9), j));
  river.push_back(river.front());
  f.context.push_back(context("water", {{"Sill River", river}}));
  f.context.push_back(
      context("park", {{"Kiln Common", {corner(3, 7), corner(5, 7), corner(5, 8), corner(3, 8), corner(3, 7)}},
                       {"East Green", {corner(14, 3), corner(15, 3), corner(15, 5), corner(14, 5), corner(14, 3)}}}));
  std::vector<Point> west, east;
  for (double j = 0; j <= kRows; j += 0.5) west.push_back(corner(8, j));
  east = west;
  for (double i = 8; i >= 0; i -= 0.5) west.push_back(corner(i, kRows));
  for (double j = kRows; j >= 0; j -= 0.5) west.push_back(corner(0, j));
  for (double i = 0; i <= 8; i += 0.5) west.push_back(corner(i, 0));
  for (double i = 8; i <= kColumns; i += 0.5) east.push_back(corner(i, kRows));
  for (double j = kRows; j >= 0; j -= 0.5) east.push_back(corner(kColumns, j));
  for (double i = kColumns; i >= 8; i -= 0.5) east.push_back(corner(i, 0));
  f.context.push_back(context("jurisdiction", {{"Westbank", west}, {"Eastbank County", east}}));
}

void addChanged(study::Findings& f, Random& random) {
  Column area("area_id", Column::Kind::Text), name("area_name", Column::Kind::Text), period("period", Column::Kind::Text);
  static constexpr std::array kCounts = {"looks", "visits", "dogs_met", "given_up", "improved", "neutered", "referred"};
  static constexpr std::array kMeans = {260.0, 74.0, 52.0, 2.2, 9.5, 6.0, 1.3};
  std::vector<std::vector<std::int64_t>> values(kCounts.size());
  for (const char* who : {"Westbank", "Eastbank County"}) {
    for (int q = 0; q < 8; ++q) {
      area.addText(who);
      name.addText(who);
      period.addText(fmt::format("{} Q{}", 2023 + (q + 2) / 4, (q + 2) % 4 + 1));
      for (std::size_t c = 0; c < kCounts.size(); ++c) values[c].push_back(random.poisson(kMeans[c] * (0.6 + 0.1 * q)));
    }
  }
  for (std::size_t c = 0; c < 3; ++c)
    f.totals.visits += c == 1 ? std::accumulate(values[c].begin(), values[c].end(), std::int64_t{0}) : 0;
  Column up_to("up_to", Column::Kind::Text);  // the last quarter isn't over
  for (std::size_t row = 0; row < values[0].size(); ++row) row % 8 == 7 ? up_to.addText("2025-06-14") : up_to.addMissing();
  for (Column* column : {&area, &name, &period, &up_to}) f.changed.add(std::move(*column));
  for (std::size_t c = 0; c < kCounts.size(); ++c) f.changed.add(Column::integers(kCounts[c], values[c]));
  addTotals(f, values);
  f.changed_by = "Jurisdictions";
  const auto sum = [&](std::size_t c) { return std::accumulate(values[c].begin(), values[c].end(), std::int64_t{0}); };
  f.totals.given_up = sum(3), f.totals.improved = sum(4);
  f.totals.improved_of = 2 * sum(4) + 31;
  f.totals.neutered = sum(5);
  f.totals.referred = sum(6);
  f.totals.dogs_met = 214;
}

void addNextAndDue(study::Findings& f, const std::vector<Block>& blocks) {
  const std::vector<int> ranks = ranksOf(blocks);
  std::vector<std::size_t> order(blocks.size());
  for (std::size_t b = 0; b < blocks.size(); ++b) order[static_cast<std::size_t>(ranks[b]) - 1] = b;
  Table all;
  addText(all, "block_id", blocks, blockId);
  addRanking(all, blocks, ranks);
  f.next = all.take(order);
  Column premises("premises_id", Column::Kind::Text), block("block_id", Column::Kind::Text),
      address("address", Column::Kind::Text);
  Column due("due", Column::Kind::Text), what("what", Column::Kind::Text);
  for (int k = 0; k < 24; ++k) {
    premises.addText(fmt::format("p{:05d}", 40 * k + 3));
    block.addText(blockId(blocks[static_cast<std::size_t>(7 * k)]));
    address.addText(fmt::format("{} Millrace Road", 12 + 14 * k));
    due.addText(toIso(Date{20'200 + 5 * k}));
    what.addText(k % 3 == 0 ? "straw out" : k % 3 == 1 ? "three-month visit" : "neuter appointment to arrange");
  }
  for (Column* column : {&premises, &block, &address, &due, &what}) f.due.add(std::move(*column));
}

void addTotals(study::Findings& f, const std::vector<Block>& blocks) {
  study::Findings::Totals& t = f.totals;
  t.blocks = static_cast<std::int64_t>(blocks.size());
  for (const Block& b : blocks) {
    t.blocks_never += b.state == "never" ? 1 : 0, t.blocks_unknown = t.blocks_never;
    t.doors += b.doors;
    t.doors_looked += b.looked;
    t.looks += b.looks;
    t.planned_looks += b.planned;
    t.dogs_known += b.known;
    t.unmet += b.unmet;
  }
  t.unmet_low = t.unmet * 0.78;
  t.unmet_high = t.unmet * 1.31;
  t.undecided = 37;
  t.refused_rows = 12;
}

}  // namespace

namespace {
/// Share of ground paved, in the town's own frame (unknown, as its layers are).
Raster pavedGround(const Bbox& extent) {
  Raster raster;
  raster.columns = 80;
  raster.rows = 60;
  raster.left = extent.min_x;
  raster.top = extent.max_y;
  raster.cell_x = extent.width() / 80;
  raster.cell_y = extent.height() / 60;
  for (int y = 0; y < 60; ++y) {
    for (int x = 0; x < 80; ++x)
      raster.values.push_back(static_cast<float>(0.5 + 0.3 * std::sin(x * 0.11) * std::cos(y * 0.13) + 0.002 * x));
  }
  return raster;
}
}  // namespace

study::Findings paperTown() {
  Random random(7);
  study::Findings f;
  f.name = "Sillbridge outreach";
  f.as_of = *makeDate(2025, 6, 30);
  const std::vector<Block> blocks = makeBlocks(random);
  f.blocks = blockLayer(blocks);
  f.streets = streetLayer();
  f.premises = premisesLayer(blocks, random);
  addSightings(f, random);
  addContext(f);
  addChanged(f, random);
  addNextAndDue(f, blocks);
  addTotals(f, blocks);
  f.heat = pavedGround(f.blocks.geometry.bbox());
  f.heat_kind = "proxy";
  f.heat_unit = "share paved";
  f.sources = {{"Address points", "points.csv", "2025", "public domain"},
               {"Streets", "streets.gpkg", "2024", "public domain"},
               {"Census blocks and tables", "blocks.gpkg", "2020", "public domain"},
               {"Share of ground paved", "paved.tif", "2023", "CC BY 4.0"}};
  f.remarks = {"No weather record is in the study, so days of frost and heat are not shown.",
               "37 addresses in the visit log are still undecided and stand on no map."};
  f.methods = {
      "Dogs not yet met: gamma-Poisson shrinkage of planned finds per door to the block group and the town (Marshall 1991; "
      "Clayton & Kaldor 1987).",
      "Chances and ranks: 2,000 seeded draws of the model, the margins of error and the placements together.",
      "Shares of dogs: Wilson 1927; events per doors: Garwood 1936."};
  f.improved_rule =
      "A dog counts as improved when fewer items were unmet at its latest full check than at its first, no critical item is "
      "newly "
      "unmet, and at least 28 days lie between the two checks. It is change, not effect.";
  return f;
}

}  // namespace leeward::test
