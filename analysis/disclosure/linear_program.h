#pragma once
/// Small linear programs over equalities, solved by the GNU Linear Programming Kit's primal simplex (GLPK 5).
#include <cstdint>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

namespace leeward::analysis {

/// Columns with bounds, rows that each say "sum of coefficient * column = value". Solved again for other costs it starts from where the
/// last answer stood, which makes a long series over one set of rows cheap. One object is used by one thread at a time.
class LinearProgram {
 public:
  struct Row {
    std::vector<std::pair<std::uint32_t, double>> terms;  ///< column, coefficient; a column once a row
    double value = 0;
  };
  /// lower and upper have one entry a column (upper may be infinite, lower not).
  LinearProgram(const std::vector<Row>& rows, const std::vector<double>& lower, const std::vector<double>& upper);
  ~LinearProgram();
  LinearProgram(const LinearProgram&) = delete;
  LinearProgram& operator=(const LinearProgram&) = delete;

  void setCost(std::uint32_t column, double cost);
  void setBounds(std::uint32_t column, double lower, double upper);
  enum class Outcome { Solved, Unbounded, Impossible };
  Outcome minimise();
  double value(std::uint32_t column) const;  ///< of the last answer

 private:
  struct Problem;
  std::unique_ptr<Problem> problem_;
};

}  // namespace leeward::analysis
