#include "analysis/rates/classes.h"

#include "shared/base/random.h"
#include "tests/support/data.h"

namespace leeward::analysis {
namespace {

Classes classesOf(const std::vector<double>& values, std::size_t count, ClassesBy by) {
  Progress progress;
  return classLimits(values, count, by, progress).value();
}

double squares(const std::vector<double>& sorted, std::size_t begin, std::size_t end) {
  double mean = 0;
  for (auto i = begin; i < end; ++i) mean += sorted[i] / static_cast<double>(end - begin);
  double sum = 0;
  for (auto i = begin; i < end; ++i) sum += (sorted[i] - mean) * (sorted[i] - mean);
  return sum;
}

TEST(ClassesTest, NaturalClassesAreTheBestOfAllPartitions) {
  Random random(2);
  for (int turn = 0; turn < 30; ++turn) {
    std::vector<double> values;
    for (int i = 0; i < 14; ++i) values.push_back(random.below(12));
    std::sort(values.begin(), values.end());
    double best = HUGE_VAL;
    for (std::size_t a = 1; a < values.size(); ++a) {
      for (std::size_t b = a + 1; b < values.size(); ++b) {
        best = std::min(best, squares(values, 0, a) + squares(values, a, b) + squares(values, b, values.size()));
      }
    }
    EXPECT_NEAR(classesOf(values, 3, ClassesBy::Natural).within_squares, best, 1e-9);
  }
}

TEST(ClassesTest, FewerDistinctValuesGiveFewerNaturalClasses) {
  const auto classes = classesOf({2, 2, 7, 7, 7, std::nan("")}, 5, ClassesBy::Natural);
  EXPECT_EQ(classes.limits, (std::vector<double>{2, 2, 7}));
  EXPECT_EQ(classes.counts, (std::vector<std::size_t>{2, 3}));
  EXPECT_EQ(classes.goodness_of_variance_fit, 1);
}

TEST(ClassesTest, ManyEqualValuesShareAClass) {
  const auto classes = classesOf({0, 0, 0, 0, 1, 2}, 3, ClassesBy::Quantile);
  EXPECT_EQ(classes.limits.front(), 0);
  EXPECT_EQ(classes.counts.front(), 4U);
  const auto all_equal = classesOf({3, 3, 3}, 4, ClassesBy::Equal);
  EXPECT_EQ(all_equal.counts, (std::vector<std::size_t>{3}));
}

TEST(ClassesTest, AValueOnALimitIsInTheLowerClass) {
  const std::vector<double> limits = {0, 10, 20};
  EXPECT_EQ(classOf(0, limits), 0);
  EXPECT_EQ(classOf(10, limits), 0);
  EXPECT_EQ(classOf(10.001, limits), 1);
  EXPECT_EQ(classOf(-5, limits), 0);
  EXPECT_EQ(classOf(99, limits), 1);
  EXPECT_EQ(classOf(std::nan(""), limits), -1);
}

TEST(ClassesTest, NoClassesOrNoValuesAreRefused) {
  Progress progress;
  EXPECT_EQ(classLimits(std::vector<double>{1}, 0, ClassesBy::Equal, progress).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(classLimits(std::vector<double>{std::nan("")}, 3, ClassesBy::Equal, progress).problem().code, ProblemCode::BadData);
}

}  // namespace
}  // namespace leeward::analysis
