#pragma once
/// How one class of things is drawn: the same sign on the map and in the legend.
#include <QColor>
#include <QString>
#include <vector>

namespace leeward::draw {

/// Patterns are drawn as lines and dots of their own (no bitmap brush), so that they are the same on paper and screen.
enum class Pattern { None, Hatch, Dots, Bars, CrossHatch };

struct Fill {
  QColor colour = Qt::transparent;
  Pattern pattern = Pattern::None;
  QColor ink = Qt::transparent;  ///< of the pattern
  bool isVisible() const { return colour.alpha() > 0 || pattern != Pattern::None; }
};

struct Stroke {
  QColor colour = Qt::transparent;
  double width_pt = 0;
  bool dashed = false;
  bool isVisible() const { return width_pt > 0 && colour.alpha() > 0; }
};

enum class Symbol { None, Disc, Ring, Square, Triangle, Diamond, Cross };

/// Areas use fill and edge; lines use edge, with `casing` beneath; points use symbol, size, fill and edge.
struct Sign {
  QString words;  ///< for the legend; "" = not listed there
  Fill fill;
  Stroke edge;
  Stroke casing;
  Symbol symbol = Symbol::None;
  double size_pt = 0;  ///< width of the symbol
};

}  // namespace leeward::draw
