#pragma once
/// Colours, by name and source.
///
/// - Okabe & Ito 2008, "Color Universal Design: how to make figures and presentations that are friendly to colorblind
///   people": eight colours for classes without an order.
/// - ColorBrewer (Harrower & Brewer 2003, The Cartographic Journal 40: 27-37), five-class single-hue sequential schemes
///   Purples and Blues, listed there as colour-blind safe.
/// - cividis (Nuñez, Anderton & Renslow 2018, PLoS ONE 13: e0199239), for rasters: six anchors, linear between.
///
/// States are never told by colour alone: each has its own pattern as well.
#include <string_view>
#include <vector>

#include "viewer/draw/sign.h"

namespace leeward::draw {

namespace okabe_ito {
inline const QColor kBlack{0x00, 0x00, 0x00};
inline const QColor kOrange{0xE6, 0x9F, 0x00};
inline const QColor kSkyBlue{0x56, 0xB4, 0xE9};
inline const QColor kBluishGreen{0x00, 0x9E, 0x73};
inline const QColor kYellow{0xF0, 0xE4, 0x42};
inline const QColor kBlue{0x00, 0x72, 0xB2};
inline const QColor kVermillion{0xD5, 0x5E, 0x00};
inline const QColor kReddishPurple{0xCC, 0x79, 0xA7};
}  // namespace okabe_ito

/// Five classes, light to dark.
const std::vector<QColor>& brewerPurples();
const std::vector<QColor>& brewerBlues();
const std::vector<QColor>& brewerOranges();
/// The colour at `share` (0..1, clamped) of cividis.
QColor cividis(double share);

/// What the ground is like: paper and the light window, the dark window, and one for eyes that need strong edges.
enum class Shade { Light, Dark, HighContrast };

/// The shade that this thread paints in from now on. Every thread begins light, so that paper stays paper whatever the window wears;
/// nothing that was made in one shade (signs, legends) may be painted in another.
void useShade(Shade shade);
Shade shadeInUse();

/// A quiet ground that leaves colour to the findings. One set a thread: set by useShade() alone.
namespace ground {
inline constinit thread_local QColor kPaper{0xFF, 0xFF, 0xFF};
inline constinit thread_local QColor kLand{0xF6, 0xF3, 0xEA};
inline constinit thread_local QColor kWater{0xD3, 0xE1, 0xE3};
inline constinit thread_local QColor kPark{0xE2, 0xEA, 0xD6};
inline constinit thread_local QColor kStreet{0xBF, 0xBA, 0xAD};
inline constinit thread_local QColor kMainStreet{0x9C, 0x97, 0x8B};
inline constinit thread_local QColor kStreetCasing{0xFB, 0xF9, 0xF3};
inline constinit thread_local QColor kBlockEdge{0xFF, 0xFF, 0xFF};
inline constinit thread_local QColor kBoundary{0x5E, 0x5A, 0x52};
inline constinit thread_local QColor kInk{0x22, 0x2A, 0x2B};       ///< text
inline constinit thread_local QColor kQuietInk{0x5B, 0x62, 0x62};  ///< second-rank text
inline constinit thread_local QColor kRule{0xC9, 0xC6, 0xBC};      ///< thin rules
inline constinit thread_local QColor kWaterInk{0x4A, 0x6F, 0x78};
inline constinit thread_local QColor kParkInk{0x56, 0x6B, 0x45};
}  // namespace ground

/// The one accent: what a reader must look at (ranks, the chosen block, the stamp). Okabe & Ito's vermillion, darkened; on a dark
/// ground lightened.
inline constinit thread_local QColor kAccent{0xA8, 0x41, 0x0F};

/// The colour with another opacity, 0..255.
inline QColor seeThrough(QColor colour, int alpha) {
  colour.setAlpha(alpha);
  return colour;
}

/// The sign of a block state (keys of study::blockStates()), words included; a grey plain sign for an unknown key.
/// never: hatched; nobody: dotted; none: plain; ontime: plain and dark; overdue: barred.
Sign stateSign(std::string_view key);
/// Five area signs from a five-colour scheme; `words` gives the legend's, one a class, fewer use the darker end less.
std::vector<Sign> sequentialSigns(const std::vector<QColor>& scheme, const std::vector<QString>& words);
/// Where nothing is known or nothing applies: cross-hatched on paper.
Sign unknownSign(const QString& words);

/// The colour as seen with deuteranopia (Machado, Oliveira & Fernandes 2009, IEEE TVCG 15: 1291-1298, severity 1.0; the
/// matrix applies to linear RGB).
QColor asSeenByDeuteranope(const QColor& colour);
/// CIE 1976 colour difference in CIELAB (D65).
double colourDifference(const QColor& a, const QColor& b);

}  // namespace leeward::draw
