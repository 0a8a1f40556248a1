#pragma once
/// The house's own icons, drawn as SVG in one stroke width and coloured as the text beside them.
#include <QIcon>

namespace leeward::window {

/// An icon of icons/NAME.svg; empty for a name that isn't there.
QIcon iconOf(const char* name, const QColor& ink);

}  // namespace leeward::window
