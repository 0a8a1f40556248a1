#include "viewer/study/steps.h"

#include <algorithm>
#include <chrono>
#include <functional>
#include <utility>

#include "shared/base/hash.h"
#include "shared/base/version.h"
#include "shared/layer/column_cache.h"
#include "viewer/study/method_stamp.h"

namespace leeward::study {

std::string stepKey(const std::string& step, const std::vector<std::string>& fields) {
  Sha256 hash;
  hash.addField(kVersion).addField(kMethodStamp).addField(step);
  for (const auto& field : fields) hash.addField(field);
  return hash.hex();
}

Result<Product> Steps::product(const std::string& step, const std::string& title, const std::string& key, Progress progress,
                               const std::function<Result<Layer>(Progress&)>& make) {
  const auto start = std::chrono::steady_clock::now();
  const auto seconds = [&] { return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(); };
  if (auto kept = readCached(fileOf(step), key, ledger())) {
    std::error_code ignored;
    std::filesystem::last_write_time(fileOf(step), std::filesystem::file_time_type::clock::now(), ignored);  // for keepOnly()
    note({title, true, seconds()});
    return Product{*std::move(kept), key};
  }
  progress.report(0, title);
  LEEWARD_ASSIGN(layer, make(progress));
  LEEWARD_TRY(progress.checkStop());
  std::error_code error;
  std::filesystem::create_directories(folder_, error);
  std::filesystem::permissions(folder_, std::filesystem::perms::owner_all, error);
  LEEWARD_TRY(writeCached(layer, fileOf(step), key, ledger()));
  progress.report(1, title);
  note({title, false, seconds()});
  return Product{std::move(layer), key};
}

void Steps::keepOnly(const std::string& prefix, std::size_t count) const {
  namespace fs = std::filesystem;
  std::vector<std::pair<fs::file_time_type, fs::path>> found;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder_, error)) {
    if (entry.path().filename().string().starts_with(prefix)) found.emplace_back(entry.last_write_time(error), entry.path());
  }
  std::ranges::sort(found, std::greater<>());
  for (std::size_t i = count; i < found.size(); ++i) fs::remove(found[i].second, error);
}

void Steps::note(StepReport report) {
  const auto same = std::ranges::find(reports_, report.title, &StepReport::title);
  if (same == reports_.end()) return reports_.push_back(std::move(report));
  same->up_to_date = same->up_to_date && report.up_to_date;
  same->seconds += report.seconds;
}

bool Steps::isUpToDate(const std::string& step, const std::string& key) const { return cachedKey(fileOf(step), ledger()) == key; }

}  // namespace leeward::study
