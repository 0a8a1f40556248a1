#pragma once
/// What a PDF says, for the leak check.
#include "shared/geo/crs.h"
#include "viewer/draw/map_view.h"
#include "viewer/study/hand_over/pieces.h"

namespace leeward::sheets {

/// The text of every page (as it is laid out, and in the order of drawing), title, author and other properties, XMP, the outline, attachments. BadData
/// for a PDF that is locked or broken.
Result<std::vector<study::Piece>> pdfPieces(const std::filesystem::path& file);

/// Where the map lies on a page that the program drew, and in which system: through it marks on the page become positions.
struct MapOnPage {
  draw::MapView view;  ///< points from the left upper corner; an empty frame: no map
  Crs frame = {};
};
/// The same, and the marks on the map (pdf_marks.h) as positions. Errors: also those of the change of systems.
Result<std::vector<study::Piece>> pdfPiecesOfMap(const std::filesystem::path& file, const MapOnPage& map);

}  // namespace leeward::sheets
