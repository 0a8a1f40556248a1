#pragma once
/// Hand-overs: what a board, a funder, a city or an authority gets. Nothing else that the program writes is meant for outsiders.
///
/// public, partner: areas.csv and areas.xlsx (counts by area and period, small ones withheld), area-map.pdf, places.geojson and places.gpkg (visited
/// homes, moved), read-me.txt (what it is, sources, dates, method, what can't be told from it). authority: case.xlsx, of one case alone,
/// stamped. All files are made in a folder beside, looked through by the leak check, and only then put in place; the hand-over is logged
/// in the ledger. Equal studies give equal bytes.
#include <filesystem>
#include <string>
#include <vector>

#include "viewer/study/hand_over/draft.h"

namespace leeward::sheets {

struct HandOverDone {
  std::vector<std::string> files;
  std::size_t counts = 0, counts_withheld = 0, places = 0, places_withheld = 0;
  std::string report;                  ///< for the lead: its file; "" if the study is sealed and none was asked for
  std::vector<std::string> warnings;
};

/// `folder` must not be there yet, or be empty. AlreadyExists; BadData: the leak check found something (where and what of, for all hits), nothing is
/// left in the folder; errors of prepareHandOver.
Result<HandOverDone> handOver(const study::HandOverRequest& request, const std::filesystem::path& folder, Progress& progress);

}  // namespace leeward::sheets
