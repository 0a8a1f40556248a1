#pragma once
/// Steps that rerun only what is stale.
///
/// A step makes one Layer (a table, with geometry or without) from inputs that are named by a key: a SHA-256 over the
/// program's version and sources, the step's name, its parameters and the keys of what it read. A product whose key is the same as
/// last time is read back from the study's cache instead of being made again. Deleting the cache folder loses nothing.
#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "shared/base/progress.h"
#include "shared/layer/layer.h"

namespace leeward::study {

struct StepReport {
  std::string title;       ///< for people: "Placing addresses"
  bool up_to_date = false;
  double seconds = 0;
};

/// The key of a product, built field by field.
std::string stepKey(const std::string& step, const std::vector<std::string>& fields);

struct Product {
  Layer layer;
  std::string key;
};

class Steps {
 public:
  explicit Steps(std::filesystem::path cache_folder) : folder_(std::move(cache_folder)) {}

  /// The product `step` with this key: from the cache, or made by `make` and kept. Problems of `make` pass through;
  /// a cache that can't be written is an Io problem.
  Result<Product> product(const std::string& step, const std::string& title, const std::string& key, Progress progress,
                          const std::function<Result<Layer>(Progress&)>& make);
  /// True if the cache holds the step with this key (the layer is not read).
  bool isUpToDate(const std::string& step, const std::string& key) const;
  /// Of the products whose step begins with `prefix` only the `count` used last stay in the cache.
  void keepOnly(const std::string& prefix, std::size_t count) const;
  /// Notes a step whose result lies elsewhere (the ledger, an output file).
  /// What several products make up is told as one step, by its title.
  void note(StepReport report);
  const std::vector<StepReport>& reports() const { return reports_; }

 private:
  std::filesystem::path fileOf(const std::string& step) const { return folder_ / (step + ".columns"); }
  /// What is kept is sealed if the study's ledger is.
  std::filesystem::path ledger() const { return folder_.parent_path() / "ledger.sqlite"; }
  std::filesystem::path folder_;
  std::vector<StepReport> reports_;
};

}  // namespace leeward::study
