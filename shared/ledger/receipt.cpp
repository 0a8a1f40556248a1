#include "shared/ledger/receipt.h"

#include <nlohmann/json.hpp>

namespace leeward {

std::string toJson(const Receipt& receipt) {
  nlohmann::ordered_json json{{"what", receipt.what},       {"findings", receipt.findings}, {"version", receipt.version},
                              {"seed", receipt.seed},       {"level", receipt.level},       {"as_of", receipt.as_of},
                              {"inputs", nlohmann::ordered_json::array()}, {"parameters", nlohmann::ordered_json::object()}};
  for (const auto& input : receipt.inputs) json["inputs"].push_back({{"what", input.what}, {"file", input.file}, {"sha256", input.sha256}});
  for (const auto& [name, value] : receipt.parameters) json["parameters"][name] = value;
  return json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace leeward
