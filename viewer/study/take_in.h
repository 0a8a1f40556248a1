#pragma once
/// Brings a file into a study: crew files go into the ledger, public layers into study.toml and the column cache.
#include <filesystem>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/ledger/ledger.h"

namespace leeward::study {

struct TakeInRequest {
  std::filesystem::path folder;
  std::string kind;      ///< premises, streets, blocks, areas, census, heat, weather, jurisdictions, boundary, water, parks; visits, sightings, stock, photos (FILE: a picture, or a folder of them)
  std::string file;      ///< FILE or FILE#LAYER
  std::string map;       ///< corrections of guessed columns: "field=Column,..."
  std::string crs, unit, heat_kind, year, source, licence;  ///< what a file doesn't say of itself
  bool is_guided = false;  ///< a heat layer that doesn't say what it measures goes in all the same, with a remark that asks for it
  /// Folder for the lists of refused and doubtful rows; "": the study's out, or nowhere if the study is sealed. InvalidArgument if it lies in a sealed study's folder.
  std::filesystem::path lists;
  bool anyway = false;   ///< take a file that looks like another kind or another place
};

struct TakeInOutcome {
  bool is_crew_file = false;
  std::string taken;               ///< "address <- Street address (0.95): ..." a line
  RowReport report;                ///< refused rows, remarks
  std::string refused_file;        ///< where they are listed; "" if there are none, or nowhere
  TakenIn ledger;                  ///< crew files
  std::string alike_file;          ///< where rows that are like known ones, or gone from the file, are listed; "" if there are none
};

/// Crew files: one transaction, all of the file or none; the same file again adds nothing. Public layers: read whole
/// once, so that a bad file is refused before study.toml changes. Before anything is kept the file is judged: one that is clearly of
/// another kind, or lies more than 50 km from the study, is BadData unless `anyway` (columns given by hand count as a look at it). The
/// columns taken are kept in study.toml and serve the next file of the kind where it has them. Errors leave ledger, study.toml and cache as they were.
Result<TakeInOutcome> takeIn(const TakeInRequest& request, Progress& progress);

/// The outcome in lines for a person.
std::vector<std::string> describe(const TakeInRequest& request, const TakeInOutcome& outcome);

}  // namespace leeward::study
