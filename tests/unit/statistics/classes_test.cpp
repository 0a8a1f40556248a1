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

TEST(ClassesTest, GivenLimitsLeaveOutWhatLiesOutside) {
  const auto found = classesBetween(std::vector<double>{-1, 0, 3, 5, 5.5, 10, 11, std::nan("")}, {0, 5, 10});
  ASSERT_OK(found);
  EXPECT_EQ(found->counts, (std::vector<std::size_t>{3, 2}));
  for (const std::vector<double>& wrong : {std::vector<double>{5}, {5, 5}, {1, 3, 2}, {0, std::nan("")}, {}}) EXPECT_EQ(classesBetween(std::vector<double>{1, 2}, wrong).problem().code, ProblemCode::InvalidArgument);
  EXPECT_EQ(classesBetween(std::vector<double>{1, 2}, {5, 6}).problem().code, ProblemCode::BadData);
}

TEST(ClassesTest, ReadableLimitsHaveFewDigits) {
  // Two classes that 5.21 parts: the next value above it is 9, so any number from 5.21 on and below 7.21 (half way to 9.21) will do; 6 and 7 have one digit, 6 is nearer.
  // The ends move out by up to a tenth of the mean width of 3.92: from 0.978 on there is 1; up to 9.602 nothing of one digit, so 9.5, rounder than 9.3, 9.4 or 9.6.
  const std::vector<double> values = {1.37, 5.21, 9, 9.21};
  const auto plain = classesBetween(values, {1.37, 5.21, 9.21});
  ASSERT_OK(plain);
  EXPECT_EQ(withReadableLimits(values, *plain).limits, (std::vector<double>{1, 6, 9.5}));
  EXPECT_EQ(withReadableLimits(std::vector<double>{0, 0.3, 0.31, 0.7}, *classesBetween(std::vector<double>{0, 0.3, 0.31, 0.7}, {0, 0.3000001, 0.7})).limits, (std::vector<double>{0, 0.3, 0.7}));
  EXPECT_EQ(withReadableLimits(std::vector<double>{3, 3}, *classesBetween(std::vector<double>{3, 3}, {3, 4})).limits.back(), 4);
}

TEST(ClassesTest, ReadableLimitsMoveNoValueToAnotherClass) {
  Random random(6);
  for (int turn = 0; turn < 300; ++turn) {
    std::vector<double> values;
    const double scale = std::pow(10.0, random.below(9)) * 1e-5, offset = turn % 3 == 0 ? -3 * scale : 0;
    const std::size_t size = 3 + random.below(60);
    for (std::size_t i = 0; i < size; ++i) values.push_back(offset + scale * (turn % 2 == 0 ? random.gamma(1, 3) : random.below(9)));
    for (const ClassesBy by : {ClassesBy::Quantile, ClassesBy::Equal, ClassesBy::Natural}) {
      const Classes plain = classesOf(values, 2 + random.below(6), by), readable = withReadableLimits(values, plain);
      ASSERT_EQ(readable.limits.size(), plain.limits.size());
      for (std::size_t i = 2; i < readable.limits.size(); ++i) EXPECT_LT(readable.limits[i - 1], readable.limits[i]);
      EXPECT_LE(readable.limits.front(), plain.limits.front());
      EXPECT_GE(readable.limits.back(), plain.limits.back());
      for (const double value : values) EXPECT_EQ(classOf(value, readable.limits), classOf(value, plain.limits)) << value;
    }
  }
}

}  // namespace
}  // namespace leeward::analysis
