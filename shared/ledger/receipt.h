#pragma once
/// What an output was made from: kept in the ledger by the output's SHA-256, so that anyone in the team can make it again.
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

namespace leeward {

struct ReceiptInput {
  std::string what;    ///< "premises", "visits" ...
  std::string file;    ///< name without folder
  std::string sha256;  ///< of the file's content as it was read
};

struct Receipt {
  std::string what;      ///< "Sheet: coverage"
  std::string findings;  ///< key of all that it shows; "" where nothing was kept under a key
  std::string version;
  std::uint64_t seed = 1;
  double level = 0.90;
  std::string as_of;                                            ///< freeze date, ISO
  std::vector<ReceiptInput> inputs;                             ///< public files and the crew's imports
  std::vector<std::pair<std::string, std::string>> parameters;  ///< names as in study.toml, "looks.knock"
};

/// {"what", "findings", "version", "seed", "level", "as_of", "inputs": [{"what", "file", "sha256"}], "parameters": {name: value}}.
std::string toJson(const Receipt& receipt);

}  // namespace leeward
