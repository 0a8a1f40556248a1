#include "analysis/disclosure/linear_program.h"

#include <cmath>

#include <glpk.h>

namespace leeward::analysis {

struct LinearProgram::Problem {
  glp_prob* glp = glp_create_prob();
  ~Problem() { glp_delete_prob(glp); }
};

namespace {

int toGlpk(std::uint32_t column) { return static_cast<int>(column) + 1; }

void bound(glp_prob* glp, std::uint32_t column, double lower, double upper) {
  const int kind = lower == upper ? GLP_FX : std::isinf(upper) ? GLP_LO : GLP_DB;
  glp_set_col_bnds(glp, toGlpk(column), kind, lower, upper);
}

}  // namespace

LinearProgram::LinearProgram(const std::vector<Row>& rows, const std::vector<double>& lower, const std::vector<double>& upper)
    : problem_(std::make_unique<Problem>()) {
  glp_term_out(GLP_OFF);
  glp_prob* glp = problem_->glp;
  glp_set_obj_dir(glp, GLP_MIN);
  if (!lower.empty()) glp_add_cols(glp, static_cast<int>(lower.size()));
  for (std::uint32_t column = 0; column < lower.size(); ++column) bound(glp, column, lower[column], upper[column]);
  if (!rows.empty()) glp_add_rows(glp, static_cast<int>(rows.size()));
  std::vector<int> index;
  std::vector<double> coefficient;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    index.assign(1, 0), coefficient.assign(1, 0);
    for (const auto& [column, factor] : rows[row].terms) index.push_back(toGlpk(column)), coefficient.push_back(factor);
    glp_set_mat_row(glp, static_cast<int>(row) + 1, static_cast<int>(index.size()) - 1, index.data(), coefficient.data());
    glp_set_row_bnds(glp, static_cast<int>(row) + 1, GLP_FX, rows[row].value, rows[row].value);
  }
  glp_std_basis(glp);
}

LinearProgram::~LinearProgram() = default;

void LinearProgram::setCost(std::uint32_t column, double cost) { glp_set_obj_coef(problem_->glp, toGlpk(column), cost); }
void LinearProgram::setBounds(std::uint32_t column, double lower, double upper) { bound(problem_->glp, column, lower, upper); }

LinearProgram::Outcome LinearProgram::minimise() {
  glp_smcp how;
  glp_init_smcp(&how);
  how.msg_lev = GLP_MSG_OFF;
  how.meth = GLP_PRIMAL;
  int failed = glp_simplex(problem_->glp, &how);
  if (failed != 0) {  // a basis that rounding spoilt: once more from the start
    glp_std_basis(problem_->glp);
    failed = glp_simplex(problem_->glp, &how);
  }
  const int status = glp_get_status(problem_->glp);
  if (failed == 0 && status == GLP_OPT) return Outcome::Solved;
  return failed == 0 && status == GLP_UNBND ? Outcome::Unbounded : Outcome::Impossible;
}

double LinearProgram::value(std::uint32_t column) const { return glp_get_col_prim(problem_->glp, toGlpk(column)); }

}  // namespace leeward::analysis
