#pragma once
/// The window's look: one typeface, an 8-pixel grid, a quiet ground with one accent.
class QApplication;
class QFont;
class QLabel;

namespace leeward::window {

inline constexpr int kGrid = 8;         ///< pixels; all gaps are multiples of it
inline constexpr int kPageWidth = 416;  ///< pixels, of the answer page
inline constexpr double kUnit = 96.0 / 72.0;  ///< pixels a point at 100 %

/// Typeface, palette and style sheet for the whole program.
void applyStyle(QApplication& application);

enum class Text { Title, Finding, Body, Small };
QFont fontFor(Text text);

}  // namespace leeward::window
