#pragma once
/// Where passphrases come from: a descriptor (--passphrase-fd N), else the terminal with what is typed not shown. Never an argument or an
/// environment variable, which other programs can read.
#include <CLI/CLI.hpp>

#include "shared/base/result.h"
#include "shared/base/seal.h"

namespace leeward::command {

/// Adds --passphrase-fd to a verb on a study, and makes it the place that is asked when a sealed study is opened.
void addPassphrase(CLI::App& verb);
/// A new passphrase: the descriptor's next line, or typed twice. InvalidArgument if the two differ or nobody can be asked.
Result<Secret> newPassphrase();

}  // namespace leeward::command
