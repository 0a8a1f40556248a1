#include "tests/reference/statistics/checks.h"

#include <fstream>

#include "shared/table/csv.h"

namespace leeward::test {

nlohmann::json checkCase(const std::filesystem::path& file, const std::string& id) {
  std::ifstream stream(file);
  const auto all = nlohmann::json::parse(stream);
  for (const auto& one : all.at("cases")) {
    if (one.at("id") == id) return one;
  }
  ADD_FAILURE() << "no case " << id << " in " << file;
  return {};
}

std::vector<double> numbers(const std::filesystem::path& file, const std::string& column) {
  Progress progress;
  const auto read = readCsv(file, progress);
  if (!read.ok() || read->table.find(column) == nullptr) {
    ADD_FAILURE() << "no column " << column << " in " << file;
    return {};
  }
  return read->table.find(column)->toReals();
}

std::vector<double> numbers(const nlohmann::json& list) {
  std::vector<double> values;
  for (const auto& value : list)
    values.push_back(value.is_null() ? std::numeric_limits<double>::quiet_NaN() : value.get<double>());
  return values;
}

}  // namespace leeward::test
