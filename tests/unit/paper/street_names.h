#pragma once
// Streets of the invented paper town: across from the south, up from the west.
#include <array>

namespace leeward::test {

inline constexpr std::array kAcross = {
    "Tallow Street",  "Quince Street", "Ferry Street",  "Millrace Road",  "Candle Street",
    "Orchard Street", "Harrow Street", "Kiln Street",   "Saddler Street", "Thistle Street",
    "Copper Street",  "Linden Street", "Weaver Street", "Larch Street",   "Upland Road"};
inline constexpr std::array kUp = {
    "Avenue A",    "Brook Lane",  "Cooper Lane", "Drover Lane",  "Elder Lane", "Fuller Lane",
    "Garner Lane", "Holly Lane",  "Iron Lane",   "Juniper Lane", "Quay West",  "Quay East",
    "Mason Lane",  "Nettle Lane", "Osier Lane",  "Poplar Lane",  "Rowan Lane", "Sorrel Lane"};

}  // namespace leeward::test
