#pragma once
/// What a PDF says, for the leak check.
#include "viewer/study/hand_over/pieces.h"

namespace leeward::sheets {

/// The text of every page (as it is laid out, and in the order of drawing), title, author and other properties, XMP, the outline, attachments. Lines
/// and areas that are drawn are not read as positions: they lie on paper, not on the earth. BadData for a PDF that is locked or broken.
Result<std::vector<study::Piece>> pdfPieces(const std::filesystem::path& file);

}  // namespace leeward::sheets
