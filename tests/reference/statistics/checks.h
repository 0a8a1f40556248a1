#pragma once
/// The open reference values beside the project, and comparing with them.
#include <filesystem>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace leeward::test {

/// A case of a file of reference values by its id.
nlohmann::json checkCase(const std::filesystem::path& file, const std::string& id);
/// A column of numbers of a CSV file.
std::vector<double> numbers(const std::filesystem::path& file, const std::string& column);
/// Numbers of a JSON list; null is nan.
std::vector<double> numbers(const nlohmann::json& list);

/// Equal to within a relative tolerance (absolute where the expected value is 0).
inline void expectClose(double actual, double expected, double relative, const std::string& what = "") {
  EXPECT_NEAR(actual, expected, relative * (expected == 0 ? 1 : std::abs(expected))) << what;
}

}  // namespace leeward::test
