#include "viewer/study/steps.h"

#include <chrono>
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
  if (auto kept = readCached(fileOf(step), key)) {
    note({title, true, seconds()});
    return Product{*std::move(kept), key};
  }
  progress.report(0, title);
  LEEWARD_ASSIGN(layer, make(progress));
  LEEWARD_TRY(progress.checkStop());
  std::error_code error;
  std::filesystem::create_directories(folder_, error);
  std::filesystem::permissions(folder_, std::filesystem::perms::owner_all, error);
  LEEWARD_TRY(writeCached(layer, fileOf(step), key));
  progress.report(1, title);
  note({title, false, seconds()});
  return Product{std::move(layer), key};
}

bool Steps::isUpToDate(const std::string& step, const std::string& key) const { return cachedKey(fileOf(step)) == key; }

}  // namespace leeward::study
