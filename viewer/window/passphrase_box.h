#pragma once
/// Asks for the passphrase of a sealed study in the window, whichever thread opens it.

namespace leeward::window {

/// From now on (shared/base/seal.h). Work that opens a study waits for the answer; what was typed is wiped.
void askPassphrasesInWindow();

}  // namespace leeward::window
