// An attacker who holds the printed method, public address points and every public hand-over (folders in order of release).
//   red_team cells FOLDER...              -> area,period,kind,low,high: the range of every withheld count, by linear programs over all folders
//   red_team points K POINTS.csv FOLDER... -> lon,lat,nearest,ring,mean: the premises guessed for each point of the last folder: the nearest; the
//                                           likeliest by the rings of the method; the nearest to the mean of its places in all folders
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <set>
#include <tuple>

#include <glpk.h>

#include "tests/red_team/read_files.h"

namespace red_team {
namespace {

using Cell = std::tuple<std::string, std::string, std::string>;  // area, period, kind
const std::vector<std::string> kKinds = {"looks", "visits", "dogs_first_met", "given_up", "improved", "neutered", "referred"};

struct Known {
  std::map<Cell, std::pair<double, double>> range;  // shown cells: low = high
  std::set<std::string> areas, periods;
};

Known readFolders(const std::vector<std::string>& folders) {
  Known known;
  for (const auto& folder : folders) {
    for (const auto& row : readCsv(folder + "/areas.csv")) {
      const std::string area = row.at("area_id"), period = row.at("period");
      known.areas.insert(area), known.periods.insert(period);
      for (const auto& kind : kKinds) {
        const std::string& value = row.at(kind);
        auto& range = known.range.try_emplace({area, period, kind}, 0.0, HUGE_VAL).first->second;
        if (!value.empty()) range = {std::atof(value.c_str()), std::atof(value.c_str())};  // told in any release
      }
    }
  }
  return known;
}

/// "2024" is the sum of "2024 Q1" to "2024 Q4"; "all" of all areas; visits are no more than looks.
class Solver {
 public:
  explicit Solver(const Known& known) : problem_(glp_create_prob()) {
    glp_term_out(GLP_OFF);
    for (const auto& [cell, range] : known.range) {
      const int column = glp_add_cols(problem_, 1);
      columns_[cell] = column;
      glp_set_col_bnds(problem_, column, range.first == range.second ? GLP_FX : GLP_LO, range.first, range.second);
    }
    for (const auto& period : known.periods) {
      for (const auto& kind : kKinds) {
        std::vector<Cell> parts;
        for (const auto& area : known.areas) {
          if (area != "all") parts.push_back({area, period, kind});
        }
        sum({"all", period, kind}, parts);
      }
    }
    for (const auto& area : known.areas) {
      for (const auto& period : known.periods) {
        if (known.range.contains({area, period, "looks"})) atMost({area, period, "visits"}, {area, period, "looks"});
        if (period.size() != 4) continue;
        for (const auto& kind : kKinds) sum({area, period, kind}, {{area, period + " Q1", kind}, {area, period + " Q2", kind}, {area, period + " Q3", kind}, {area, period + " Q4", kind}});
      }
    }
    glp_std_basis(problem_);
  }
  ~Solver() { glp_delete_prob(problem_); }

  double bound(const Cell& cell, int direction) {
    glp_set_obj_dir(problem_, direction);
    glp_set_obj_coef(problem_, columns_.at(cell), 1);
    glp_smcp how;
    glp_init_smcp(&how);
    how.msg_lev = GLP_MSG_OFF;
    glp_simplex(problem_, &how);
    const double value = glp_get_status(problem_) == GLP_OPT ? glp_get_obj_val(problem_) : HUGE_VAL;
    glp_set_obj_coef(problem_, columns_.at(cell), 0);
    return value;
  }

 private:
  void add(const std::vector<std::pair<Cell, double>>& terms, int kind) {
    std::vector<int> index(1);
    std::vector<double> factor(1);
    for (const auto& [cell, sign] : terms) {
      if (!columns_.contains(cell)) return;
      index.push_back(columns_.at(cell)), factor.push_back(sign);
    }
    const int row = glp_add_rows(problem_, 1);
    glp_set_row_bnds(problem_, row, kind, 0, 0);
    glp_set_mat_row(problem_, row, static_cast<int>(index.size()) - 1, index.data(), factor.data());
  }
  void sum(const Cell& total, const std::vector<Cell>& parts) {
    std::vector<std::pair<Cell, double>> terms = {{total, -1}};
    for (const auto& part : parts) terms.emplace_back(part, 1);
    add(terms, GLP_FX);
  }
  void atMost(const Cell& part, const Cell& whole) { add({{part, 1}, {whole, -1}}, GLP_UP); }

  glp_prob* problem_;
  std::map<Cell, int> columns_;
};

int attackCells(const std::vector<std::string>& folders) {
  const Known known = readFolders(folders);
  Solver solver(known);
  std::printf("area,period,kind,low,high\n");
  for (const auto& [cell, range] : known.range) {
    if (range.first == range.second) continue;
    const double low = solver.bound(cell, GLP_MIN), high = solver.bound(cell, GLP_MAX);
    std::printf("%s,%s,%s,%.0f,%.0f\n", std::get<0>(cell).c_str(), std::get<1>(cell).c_str(), std::get<2>(cell).c_str(), std::ceil(low - 1e-6), std::isinf(high) ? -1 : std::floor(high + 1e-6));
  }
  return 0;
}

struct Premises {
  std::string id;
  double x, y;
};

/// Premises on a plane in metres about their middle.
class Town {
 public:
  explicit Town(const std::string& file) {
    const auto rows = readCsv(file);
    for (const auto& row : rows) lat_ += std::atof(row.at("lat").c_str()) / static_cast<double>(rows.size());
    for (const auto& row : rows) {
      const auto p = plane({std::atof(row.at("lon").c_str()), std::atof(row.at("lat").c_str())});
      all_.push_back({row.at("id"), p.first, p.second});
    }
  }
  std::pair<double, double> plane(Place place) const {
    constexpr double kMetres = 111'195;
    return {place.lon * kMetres * std::cos(lat_ * M_PI / 180), place.lat * kMetres};
  }
  std::vector<std::pair<double, std::size_t>> byDistance(std::pair<double, double> p) const {
    std::vector<std::pair<double, std::size_t>> near;
    for (std::size_t i = 0; i < all_.size(); ++i) near.emplace_back(std::hypot(all_[i].x - p.first, all_[i].y - p.second), i);
    std::sort(near.begin(), near.end());
    return near;
  }
  /// The ring of the method: from the k-th neighbour to the 4k-th.
  std::pair<double, double> ring(std::size_t i, std::size_t k) {
    auto& kept = rings_[i];
    if (kept.second == 0) {
      auto near = byDistance({all_[i].x, all_[i].y});
      kept = {near[k].first, near[4 * k].first};
    }
    return kept;
  }
  const std::string& id(std::size_t i) const { return all_[i].id; }

 private:
  std::vector<Premises> all_;
  double lat_ = 0;
  std::map<std::size_t, std::pair<double, double>> rings_;
};

/// The premises whose ring explains the point best; the k nearest can't be it.
std::string likeliest(Town& town, std::pair<double, double> point, std::size_t k) {
  const auto near = town.byDistance(point);
  double best = 0;
  std::string guess = town.id(near.front().second);
  for (std::size_t i = k; i < std::min(near.size(), 20 * k); ++i) {
    const auto [inner, outer] = town.ring(near[i].second, k);
    if (near[i].first < inner || near[i].first > outer) continue;
    const double weight = 1 / (outer * outer - inner * inner);
    if (weight > best) best = weight, guess = town.id(near[i].second);
  }
  return guess;
}

int attackPoints(std::size_t k, const std::string& premises, const std::vector<std::string>& folders) {
  Town town(premises);
  std::vector<std::vector<Place>> releases;
  for (const auto& folder : folders) releases.push_back(readPoints(folder + "/places.geojson"));
  std::printf("lon,lat,nearest,ring,mean\n");
  for (const Place& place : releases.back()) {
    const auto at = town.plane(place);
    auto mean = at;
    double count = 1;
    for (std::size_t r = 0; r + 1 < releases.size(); ++r) {
      std::pair<double, double> closest;
      double away = 400;  // farther off it is another home
      for (const Place& other : releases[r]) {
        const auto p = town.plane(other);
        if (const double d = std::hypot(p.first - at.first, p.second - at.second); d < away) away = d, closest = p;
      }
      if (away < 400) mean.first += closest.first, mean.second += closest.second, ++count;
    }
    mean = {mean.first / count, mean.second / count};
    std::printf("%.7f,%.7f,%s,%s,%s\n", place.lon, place.lat, town.id(town.byDistance(at).front().second).c_str(), likeliest(town, at, k).c_str(), town.id(town.byDistance(mean).front().second).c_str());
  }
  return 0;
}

}  // namespace
}  // namespace red_team

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  if (words.size() >= 2 && words[0] == "cells") return red_team::attackCells({words.begin() + 1, words.end()});
  if (words.size() >= 4 && words[0] == "points") return red_team::attackPoints(std::strtoul(words[1].c_str(), nullptr, 10), words[2], {words.begin() + 3, words.end()});
  std::fprintf(stderr, "red_team cells FOLDER... | red_team points K POINTS.csv FOLDER...\n");
  return 2;
}
