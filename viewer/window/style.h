#pragma once
/// The window's look: one typeface in few sizes, an 8-pixel grid, a quiet ground with one accent; light, dark and high contrast; text as
/// large as the reader wants.
#include <QFont>

#include "viewer/draw/palette.h"

class QApplication;
class QLabel;
class QPushButton;
class QString;

namespace leeward::window {

inline constexpr int kGrid = 8;  ///< pixels; all gaps are multiples of it

struct Look {
  draw::Shade shade = draw::Shade::Light;
  int text_percent = 100;  ///< 100 to 200
  friend bool operator==(const Look&, const Look&) = default;
};

/// What is in use; widgets take it when they are made.
Look look();
/// Typeface, palette and style sheet for the whole program. Widgets that are there already keep their old fonts: make them anew.
void applyStyle(QApplication& application, Look look = {});

/// Pixels a point in what is painted (maps, charts, legends): 96 / 72 at 100 %.
double unit();
/// So many pixels at 100 %, grown with the text.
int grown(int pixels);
/// Of the page beside the map: as wide as its text needs, and never as wide as the map.
int pageWidth(int window_width);

enum class Text { Title, Finding, Body, Small };
QFont fontFor(Text text);

/// Words on a page: wrapped, selectable, plain.
QLabel* makeWords(Text text, const char* name, bool quiet = false);
/// A push button of the house's kind, reached by Tab.
QPushButton* makeButton(const QString& words, const char* name);

}  // namespace leeward::window
