#pragma once
/// Where test data lie, and matchers for results.
#include <filesystem>
#include <optional>
#include <string>

#include <gmock/gmock.h>

#include "shared/base/result.h"

namespace leeward::test {

std::filesystem::path sourceFolder();  ///< the project's root
/// The folder of open reference data beside the project ("../shared"), or nothing where it is absent.
std::optional<std::filesystem::path> outsideData();

}  // namespace leeward::test

/// Skips the test with a clear line where the open reference data are absent; else declares `name` as the path of `file`.
#define LEEWARD_OUTSIDE_DATA(name, file)                                                                        \
  if (!leeward::test::outsideData()) GTEST_SKIP() << "open reference data (../shared) are not beside the project"; \
  const std::filesystem::path name = *leeward::test::outsideData() / (file)

/// Result matchers that print the problem.
#define ASSERT_OK(expression)                                             \
  do {                                                                    \
    const auto& leeward_checked = (expression);                           \
    ASSERT_TRUE(leeward_checked.ok()) << leeward_checked.problem().text(); \
  } while (false)
#define EXPECT_OK(expression)                                             \
  do {                                                                    \
    const auto& leeward_checked = (expression);                           \
    EXPECT_TRUE(leeward_checked.ok()) << leeward_checked.problem().text(); \
  } while (false)
