#pragma once
/// The manual page and the shells' completions, made from the verbs' own descriptions, so that they can't fall behind.
#include <string>

namespace CLI {
class App;
}

namespace leeward::command {

/// leeward(1) as roff for the man macros. ASCII.
std::string manualPage(const CLI::App& app, const std::string& version);
/// A completion script for "bash", "zsh" or "fish"; "" for any other shell.
std::string completionScript(const CLI::App& app, const std::string& shell);

}  // namespace leeward::command
