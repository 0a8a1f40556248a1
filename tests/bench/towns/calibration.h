#pragma once
/// What the engine says of each block, held against the truth.
#include <string>
#include <vector>

#include "tests/bench/towns/team.h"

namespace leeward::bench {

/// Sums over blocks (with doors) of one town or more. Scores: lower is better.
struct Calibration {
  double blocks = 0, covered = 0, mass = 0, above = 0;
  double interval_score = 0, interval_score_true = 0;  ///< Winkler's, at 90 %; of those who know the rates, on the same record
  double log_score = 0, log_score_flat = 0, log_score_raw = 0;
  double said = 0, truth = 0, said_never = 0, truth_never = 0;  ///< dogs unmet: all; in blocks never looked at
  std::vector<double> pit = std::vector<double>(10, 0);         ///< randomised, tenths
  std::vector<double> top_said = std::vector<double>(5, 0), top_true = std::vector<double>(5, 0), top_count = std::vector<double>(5, 0);  ///< by fifths of chance
  double brier = 0, brier_base = 0;
  std::vector<double> class_blocks = std::vector<double>(3, 0), class_covered = std::vector<double>(3, 0), class_mass = std::vector<double>(3, 0);  ///< never looked, some, over half the doors
};

Calibration judge(const Town& town, const Team& team);

class CalibrationSum {
 public:
  void add(const Calibration& town);
  void add(const CalibrationSum& other);
  std::string text() const;

 private:
  Calibration sum_;
  std::vector<double> ratios_, ratios_never_;
};

}  // namespace leeward::bench
