#pragma once
/// One open typeface in few sizes.
///
/// Open Sans (Apache License 2.0 / SIL OFL; Debian package fonts-open-sans), found through fontconfig. Its figures are
/// tabular (all ten of one width), so columns of numbers align without a font feature; checkTypeface() checks that.
///
/// Sizes are in points and so are all lengths in this folder: painters are scaled so that one unit is one point
/// (`unit` in MapView and PaintOptions says how many painter units a point has, for a window). Text is laid out at ten
/// times its size and painted scaled down, so that a line breaks at the same word on paper, in a picture and on screen.
#include <QFont>
#include <QPainter>
#include <QString>

#include "shared/base/result.h"

class QGuiApplication;

namespace leeward::draw {

enum class Face { Regular, Italic, Semibold, Bold };

/// A size and a face. The house's sizes are below; use no others.
struct Style {
  double size_pt = 9;
  Face face = Face::Regular;
};

inline constexpr Style kTitle{19, Face::Bold};
inline constexpr Style kFinding{11, Face::Regular};
inline constexpr Style kHeading{12, Face::Semibold};
inline constexpr Style kBody{9.5, Face::Regular};
inline constexpr Style kBodyStrong{9.5, Face::Semibold};
inline constexpr Style kSmall{8, Face::Regular};
inline constexpr Style kSmallStrong{8, Face::Semibold};
inline constexpr Style kFoot{6.8, Face::Regular};
inline constexpr Style kMapLabel{6.5, Face::Regular};

/// Qt's notes on desktop services would only puzzle a reader of the program's messages: only what is grave is shown.
void quietQt();

/// Makes sure that Qt can paint without a screen: starts a QGuiApplication on the offscreen platform if the process has
/// no application yet, and fixes Qt's hash seed so that the same input gives the same bytes. Make one in main(), keep it.
class PaintingApplication {
 public:
  PaintingApplication();
  ~PaintingApplication();
  PaintingApplication(const PaintingApplication&) = delete;
  PaintingApplication& operator=(const PaintingApplication&) = delete;

 private:
  QGuiApplication* own_ = nullptr;
};

/// Success if the typeface is installed and its figures are tabular; else NotFound, with the package to install.
/// Needs a running QGuiApplication.
Result<void> checkTypeface();

/// The font at ten times the style's size (pixels), unhinted: for layouts that are painted scaled by `0.1 * unit`.
QFont layoutFont(const Style& style);
/// How much a layout at ten times its size is scaled down.
inline constexpr double kLayoutScale = 0.1;

double textWidth(const QString& text, const Style& style);  ///< points
double lineHeight(const Style& style);                      ///< points, baseline to baseline
double ascent(const Style& style);                          ///< points above the baseline
double capHeight(const Style& style);                       ///< points, of a capital letter

/// Paints one line with its baseline starting at `at` (painter units; `unit` of them a point).
void drawLine(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, double unit = 1);
/// As drawLine, with a halo of `width_pt` in `halo` beneath, so that it reads over a busy map.
void drawHaloLine(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, const QColor& halo,
                  double width_pt, double unit = 1);

enum class Align { Left, Center, Right };
/// Height in points of `text` broken into lines of `width_pt`; "\n" starts a new line.
double paragraphHeight(const QString& text, const Style& style, double width_pt, double leading = 1.0);
/// Paints `text` in lines of `width_pt` from the top left corner `at` (points); returns the height used.
double drawParagraph(QPainter& painter, QPointF at, const QString& text, const Style& style, const QColor& ink, double width_pt,
                     Align align = Align::Left, double leading = 1.0);

}  // namespace leeward::draw
