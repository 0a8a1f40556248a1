#pragma once
/// What is to be forgotten, and what was.
#include <cstdint>
#include <string>
#include <vector>

namespace leeward {

struct ForgetRequest {
  std::vector<std::string> premises;  ///< ids in the premises layer or in the ledger
  std::vector<std::string> premises_tags;  ///< as in masked_places, of the same premises
  std::string household;              ///< name as typed; rows that bear it, wherever they were
  std::string day;                    ///< ISO: rows of later days are new should they come in
  bool despite_referral = false;      ///< also where a referral has no answer yet
  bool dry_run = false;
  bool until_day = false;             ///< only rows up to `day`; premises at which there are later ones stay
};

struct Forgotten {
  std::uint64_t looks = 0, sightings = 0, visits = 0, photos = 0, refused_rows = 0, decisions = 0, log_lines = 0, masked_places = 0;
  std::vector<std::string> words;       ///< what a search of other files must not find: names, addresses as typed, telephones
  std::vector<std::string> photo_files; ///< originals, which lie elsewhere and stay: folder/name
  std::vector<std::string> from_files;  ///< files that were taken in and still hold the household, wherever they lie
  bool nothing() const { return looks + sightings + refused_rows + decisions + masked_places == 0; }
};

}  // namespace leeward
