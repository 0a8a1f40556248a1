#include "viewer/draw/palette.h"

#include "viewer/study/findings.h"

namespace leeward::draw {
namespace {

double toLinear(double channel) { return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4); }
double fromLinear(double channel) {
  const double c = std::clamp(channel, 0.0, 1.0);
  return c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1 / 2.4) - 0.055;
}

std::array<double, 3> linearOf(const QColor& colour) {
  return {toLinear(colour.redF()), toLinear(colour.greenF()), toLinear(colour.blueF())};
}

std::array<double, 3> labOf(const QColor& colour) {
  const auto [r, g, b] = linearOf(colour);
  const auto f = [](double t) { return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116; };
  const double x = f((0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047);
  const double y = f(0.2126729 * r + 0.7151522 * g + 0.0721750 * b);
  const double z = f((0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / 1.08883);
  return {116 * y - 16, 500 * (x - y), 200 * (y - z)};
}

}  // namespace

const std::vector<QColor>& brewerPurples() {
  static const std::vector<QColor> kScheme = {QColor(0xF2F0F7), QColor(0xCBC9E2), QColor(0x9E9AC8), QColor(0x756BB1),
                                              QColor(0x54278F)};
  return kScheme;
}

const std::vector<QColor>& brewerBlues() {
  static const std::vector<QColor> kScheme = {QColor(0xEFF3FF), QColor(0xBDD7E7), QColor(0x6BAED6), QColor(0x3182BD),
                                              QColor(0x08519C)};
  return kScheme;
}

const std::vector<QColor>& brewerOranges() {
  static const std::vector<QColor> kScheme = {QColor(0xFEEDDE), QColor(0xFDBE85), QColor(0xFD8D3C), QColor(0xE6550D), QColor(0xA63603)};
  return kScheme;
}

QColor cividis(double share) {
  static const std::array<std::array<int, 3>, 6> kAnchors = {
      {{0, 34, 78}, {53, 69, 108}, {102, 105, 112}, {148, 142, 119}, {200, 184, 102}, {254, 232, 56}}};
  const double place = std::clamp(share, 0.0, 1.0) * 5;
  const std::size_t below = std::min<std::size_t>(4, static_cast<std::size_t>(place));
  const double t = place - static_cast<double>(below);
  std::array<int, 3> mixed{};
  for (std::size_t i = 0; i < 3; ++i) {
    mixed[i] = static_cast<int>(std::lround((1 - t) * kAnchors[below][i] + t * kAnchors[below + 1][i]));
  }
  return {mixed[0], mixed[1], mixed[2]};
}

namespace {

Shade& shadeOfThread() {
  thread_local Shade shade = Shade::Light;
  return shade;
}

/// Colours of the ground by shade: light, dark, high contrast.
struct GroundColour {
  QColor* colour;
  std::array<QRgb, 3> of;
};

void setGround(Shade shade) {
  namespace g = ground;
  const std::array<GroundColour, 15> colours = {{
      {&g::kPaper, {0xFFFFFF, 0x1C2021, 0xFFFFFF}},      {&g::kLand, {0xF6F3EA, 0x262B2C, 0xFFFFFF}},
      {&g::kWater, {0xD3E1E3, 0x22383F, 0xC8DEE6}},      {&g::kPark, {0xE2EAD6, 0x29352B, 0xD8E6C8}},
      {&g::kStreet, {0xBFBAAD, 0x545A59, 0x767676}},     {&g::kMainStreet, {0x9C978B, 0x747A77, 0x4A4A4A}},
      {&g::kStreetCasing, {0xFBF9F3, 0x202526, 0xFFFFFF}}, {&g::kBlockEdge, {0xFFFFFF, 0x15191A, 0xFFFFFF}},
      {&g::kBoundary, {0x5E5A52, 0xB7B3A7, 0x000000}},   {&g::kInk, {0x222A2B, 0xECEAE3, 0x000000}},
      {&g::kQuietInk, {0x5B6262, 0xAEB5B2, 0x1E1E1E}},   {&g::kRule, {0xC9C6BC, 0x4B5251, 0x000000}},
      {&g::kWaterInk, {0x4A6F78, 0x93BAC4, 0x0B3C49}},   {&g::kParkInk, {0x566B45, 0xA5BD92, 0x24380F}},
      {&kAccent, {0xA8410F, 0xF2A56B, 0x7A2A00}},
  }};
  for (const GroundColour& one : colours) *one.colour = QColor::fromRgb(one.of[static_cast<std::size_t>(shade)] | 0xFF000000U);
}

/// Light for the least and dark for the most on a light ground, the other way round on a dark one: the most must stand out on either.
QColor classColour(const std::vector<QColor>& scheme, std::size_t i) {
  if (shadeInUse() != Shade::Dark) return scheme[i];
  // The least sinks into the ground, or its strong colour would be what one sees first.
  const double sunk = i == 0 ? 0.5 : i == 1 ? 0.25 : 0;
  const QColor own = scheme[scheme.size() - 1 - i];
  const auto mixed = [sunk](int a, int b) { return static_cast<int>(std::lround(a + sunk * (b - a))); };
  return {mixed(own.red(), ground::kPaper.red()), mixed(own.green(), ground::kPaper.green()), mixed(own.blue(), ground::kPaper.blue())};
}

}  // namespace

void useShade(Shade shade) {
  if (shade == shadeOfThread()) return;
  shadeOfThread() = shade;
  setGround(shade);
}

Shade shadeInUse() { return shadeOfThread(); }

Sign stateSign(std::string_view key) {
  Sign sign;
  sign.edge = {ground::kBlockEdge, 0.5};
  for (const study::BlockState& state : study::blockStates()) {
    if (key == state.key) sign.words = QString::fromUtf8(state.words);
  }
  const bool dark = shadeInUse() == Shade::Dark;
  if (key == "never") {
    const QColor ink = dark ? QColor(0xC9, 0xCB, 0xC4) : QColor(0x3A, 0x40, 0x40);
    sign.fill = {ground::kPaper, Pattern::Hatch, ink};
    sign.edge = {ink, 0.5};
  } else if (key == "nobody") {
    sign.fill = {dark ? QColor(0x3B, 0x3F, 0x3B) : QColor(0xE8, 0xE4, 0xD6), Pattern::Dots, dark ? QColor(0xB9, 0xB9, 0xAC) : QColor(0x55, 0x57, 0x50)};
  } else if (key == "none") {
    sign.fill = {dark ? QColor(0x2C, 0x4E, 0x62) : QColor(0xB4, 0xDC, 0xF3)};  // a tint of Okabe & Ito's sky blue
  } else if (key == "ontime") {
    sign.fill = {dark ? okabe_ito::kSkyBlue : okabe_ito::kBlue};
  } else if (key == "overdue") {
    sign.fill = {okabe_ito::kOrange, Pattern::Bars, QColor(0x7A, 0x50, 0x00)};
  } else {
    sign = unknownSign(QStringLiteral("state not known"));
  }
  return sign;
}

std::vector<Sign> sequentialSigns(const std::vector<QColor>& scheme, const std::vector<QString>& words) {
  std::vector<Sign> signs;
  for (std::size_t i = 0; i < words.size(); ++i) {
    Sign sign;
    sign.words = words[i];
    sign.fill = {classColour(scheme, std::min(i, scheme.size() - 1))};
    sign.edge = {ground::kBlockEdge, 0.5};
    signs.push_back(sign);
  }
  return signs;
}

Sign unknownSign(const QString& words) {
  Sign sign;
  sign.words = words;
  sign.fill = {ground::kLand, Pattern::CrossHatch, ground::kRule};
  sign.edge = {ground::kRule, 0.5};
  return sign;
}

QColor asSeenByDeuteranope(const QColor& colour) {
  static constexpr double kMachado[3][3] = {
      {0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}};
  const std::array<double, 3> from = linearOf(colour);
  std::array<double, 3> to{};
  for (std::size_t i = 0; i < 3; ++i) {
    to[i] = fromLinear(kMachado[i][0] * from[0] + kMachado[i][1] * from[1] + kMachado[i][2] * from[2]);
  }
  return QColor::fromRgbF(static_cast<float>(to[0]), static_cast<float>(to[1]), static_cast<float>(to[2]));
}

double colourDifference(const QColor& a, const QColor& b) {
  const auto [l1, a1, b1] = labOf(a);
  const auto [l2, a2, b2] = labOf(b);
  return std::sqrt((l1 - l2) * (l1 - l2) + (a1 - a2) * (a1 - a2) + (b1 - b2) * (b1 - b2));
}

}  // namespace leeward::draw
