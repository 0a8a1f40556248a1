#pragma once
/// Text as it is compared: no accents, no capitals, plain blanks.
#include <string>
#include <string_view>

namespace leeward::importers {

/// Lower case ASCII letters; accents of the Latin-1 letters taken off (SÍ -> si, Año -> ano); no-break and thin blanks as
/// blanks, º and ª left out, typographic apostrophes as '; all other bytes as they are.
std::string folded(std::string_view text);

}  // namespace leeward::importers
