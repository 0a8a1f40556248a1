#include "viewer/study/receipts.h"

#include "shared/base/text.h"
#include "shared/base/version.h"
#include "viewer/study/reference.h"

namespace leeward::study {

std::vector<std::pair<std::string, std::string>> parametersOf(const StudyFile& study) {
  std::vector<std::pair<std::string, std::string>> list;
  const auto number = [&](const std::string& name, double value) { list.emplace_back(name, formatNumber(value)); };
  const auto text = [&](const std::string& name, const std::string& value) { list.emplace_back(name, value); };
  text("study.crs", study.crs);
  number("study.service_interval_days", study.service_interval_days), number("study.top_k", study.top_k);
  for (const auto& [look, chances] : study.chance_of_seeing) {
    std::vector<std::string> by_season;
    for (const double chance : chances) by_season.push_back(formatNumber(chance));
    text("looks." + look, join(by_season, ", "));
  }
  number("looks.half_life_days", study.half_life_days);
  for (const auto& indicator : study.indicators) {
    text("need." + indicator.column + (indicator.per.empty() ? "" : "/" + indicator.per), indicator.direction + ", weight " + formatNumber(indicator.weight));
  }
  const auto& outings = study.outings;
  if (outings.start_lon_lat) text("outings.start", formatNumber(outings.start_lon_lat->x) + ", " + formatNumber(outings.start_lon_lat->y));
  number("outings.crews", outings.crews), number("outings.hours", outings.hours), number("outings.minutes_per_door", outings.minutes_per_door);
  number("costs.crew_hour", study.costs.crew_hour), number("costs.share_beyond_doors", study.costs.share_beyond_doors);
  for (const auto& [item, price] : study.costs.prices) number("costs.prices." + item, price);
  number("outings.minutes_per_visit", outings.minutes_per_visit), number("outings.walking_kmh", outings.walking_kmh), number("outings.driving_kmh", outings.driving_kmh);
  number("improved.days_apart", study.improved.days_apart);
  number("due.note_days", study.due.note_days), number("due.referral_days", study.due.referral_days);
  number("due.straw_days", study.due.straw_days), number("due.straw_bales", study.due.straw_bales), number("due.urgent_hours", study.due.urgent_hours);
  number("clusters.within_m", study.clusters.within_m), number("clusters.at_least", study.clusters.at_least);
  text("outputs.changed_by", study.outputs.changed_by), text("outputs.every", study.outputs.every);
  return list;
}

Result<std::vector<ReceiptInput>> importsOf(const Ledger& ledger) {
  LEEWARD_ASSIGN(imports, ledger.read(Entity::Imports));
  const auto kind = textsOf(imports, "kind"), file = textsOf(imports, "file_name"), sha256 = textsOf(imports, "sha256");
  std::vector<ReceiptInput> inputs;
  for (std::size_t row = 0; row < kind.size(); ++row) inputs.push_back({kind[row], file[row], sha256[row]});
  return inputs;
}

Receipt receiptOf(const StudyFile& study, Date as_of, std::vector<ReceiptInput> inputs) {
  Receipt receipt;
  receipt.version = kVersion;
  receipt.seed = study.seed;
  receipt.level = study.level;
  receipt.as_of = toIso(as_of);
  receipt.inputs = std::move(inputs);
  receipt.parameters = parametersOf(study);
  return receipt;
}

}  // namespace leeward::study
