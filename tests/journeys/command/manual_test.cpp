// The manual page and the completions: every verb and option that the help names stands in each of them, and other programs take them.
#include <set>

#include <gtest/gtest.h>

#include "shared/base/text.h"
#include "tests/journeys/command/study_folder.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;

/// First words of the help's lines that are indented by two blanks.
std::set<std::string> verbsOfHelp() {
  std::set<std::string> verbs;
  const std::string help = leeward({"--help"}).out;
  for (const auto line : split(help, '\n')) {
    if (!line.starts_with("  ") || line.starts_with("   ") || line.starts_with("  -")) continue;
    verbs.emplace(line.substr(2, line.find(' ', 2) - 2));
  }
  return verbs;
}

/// "--by", "-o" ... of a verb's help.
std::set<std::string> optionsOfHelp(const std::string& verb) {
  std::set<std::string> options;
  const std::string help = leeward({verb, "--help"}).out;
  for (const auto line : split(help, '\n')) {
    if (!line.starts_with("  -")) continue;
    for (const auto name : split(line.substr(2, line.find(' ', 2) - 2), ',')) options.emplace(name);
  }
  return options;
}

std::optional<fs::path> programNamed(const char* name) {
  for (const char* folder : {"/usr/bin", "/bin", "/usr/local/bin"}) {
    if (fs::exists(fs::path(folder) / name)) return fs::path(folder) / name;
  }
  return std::nullopt;
}

std::string withoutEscapes(std::string text) {
  for (auto at = text.find("\\-"); at != std::string::npos; at = text.find("\\-", at)) text.erase(at, 1);
  return text;
}

TEST(Manual, EveryVerbAndOptionStandsInThePageAndInEachShellsCompletion) {
  const auto verbs = verbsOfHelp();
  for (const char* verb : {"parse", "place", "cluster", "locate", "apportion", "zonal", "smooth", "hotspots", "regress", "classes", "feels-like", "new", "take-in", "run", "next"}) {
    EXPECT_TRUE(verbs.contains(verb)) << verb;
  }
  EXPECT_FALSE(verbs.contains("manual"));
  const std::string page = withoutEscapes(leeward({"manual"}).out), bash = leeward({"completion", "bash"}).out, zsh = leeward({"completion", "zsh"}).out,
                    fish = leeward({"completion", "fish"}).out;
  for (const auto& verb : verbs) {
    SCOPED_TRACE(verb);
    const auto chapter = page.find(".SS " + verb + "\n");
    ASSERT_NE(chapter, std::string::npos);
    const std::string own = page.substr(chapter, page.find("\n.S", chapter + 1) - chapter);
    const auto case_at = bash.find("    " + verb + ") options='");
    ASSERT_NE(case_at, std::string::npos);
    const std::string in_bash = bash.substr(case_at, bash.find('\n', case_at) - case_at) + " ";
    const auto zsh_at = zsh.find("    " + verb + ")\n");
    ASSERT_NE(zsh_at, std::string::npos);
    const std::string in_zsh = zsh.substr(zsh_at, zsh.find(";;", zsh_at) - zsh_at);
    const auto options = optionsOfHelp(verb);
    EXPECT_TRUE(options.contains("--json"));
    for (const auto& option : options) {
      if (option == "--help" || option == "-h") continue;
      EXPECT_NE(own.find("\\fB" + option + "\\fR"), std::string::npos) << option << " in the manual page";
      EXPECT_TRUE(in_bash.find(" " + option + " ") != std::string::npos || in_bash.find("'" + option + " ") != std::string::npos || in_bash.find(" " + option + "'") != std::string::npos) << option << " in bash";
      EXPECT_NE(in_zsh.find("'" + option + "["), std::string::npos) << option << " in zsh";
      const std::string in_fish = "from " + verb + "' " + (option.starts_with("--") ? "-l " + option.substr(2) : "-s " + option.substr(1)) + " ";
      EXPECT_NE(fish.find(in_fish), std::string::npos) << option << " in fish";
    }
  }
}

TEST(Manual, ThePageIsSetWithoutAWarning) {
  const auto groff = programNamed("groff");
  if (!groff) GTEST_SKIP() << "groff is not installed";
  const TemporaryFolder folder;
  const std::string page = put(folder.path() / "leeward.1", leeward({"manual"}).out);
  const Ran ran = runProgram(*groff, {"-man", "-Tutf8", "-ww", page});
  EXPECT_EQ(ran.status, 0);
  EXPECT_EQ(ran.err, "");
  EXPECT_NE(ran.out.find("Carry figures of one set of areas over to another"), std::string::npos);
  for (const char c : leeward({"manual"}).out) ASSERT_TRUE(c == '\n' || (c >= ' ' && c <= '~')) << "not ASCII";
}

TEST(Manual, BashOffersVerbsOptionsAndChoices) {
  const auto bash = programNamed("bash");
  if (!bash) GTEST_SKIP() << "bash is not installed";
  const TemporaryFolder folder;
  const std::string script = put(folder.path() / "leeward.bash", leeward({"completion", "bash"}).out);
  const auto offered = [&](const std::string& words) {
    const Ran ran = runProgram(*bash, {"-c", "source '" + script + "'; COMP_WORDS=(" + words + "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _leeward; echo \"${COMPREPLY[@]}\""});
    EXPECT_EQ(ran.err, "");
    return std::string(trim(ran.out));
  };
  EXPECT_EQ(offered("leeward app"), "apportion");
  EXPECT_EQ(offered("leeward smooth --by ''"), "marshall gamma-poisson");
  EXPECT_EQ(offered("leeward smooth file.csv --ev"), "--events");
  EXPECT_EQ(offered("leeward sheet study cov"), "coverage");
  EXPECT_EQ(offered("leeward sheet -o out.pdf study cov"), "coverage");
  EXPECT_EQ(offered("leeward sheet cov"), "");  // the first word is a folder
  EXPECT_EQ(offered("leeward feels-like t.csv --unit ''"), "C F");
}

TEST(Manual, OtherShellsReadTheirScript) {
  std::size_t read = 0;
  const TemporaryFolder folder;
  for (const char* shell : {"zsh", "fish"}) {
    const auto program = programNamed(shell);
    if (!program) continue;
    const std::string script = put(folder.path() / shell, leeward({"completion", shell}).out);
    const Ran ran = runProgram(*program, {"-n", script});
    EXPECT_EQ(ran.status, 0) << shell << ": " << ran.err;
    ++read;
  }
  if (read == 0) GTEST_SKIP() << "neither zsh nor fish is installed";
}

TEST(Manual, AnUnknownShellIsAWrongCall) {
  const Ran ran = leeward({"completion", "tcsh"});
  EXPECT_EQ(ran.status, 2);
  EXPECT_NE(ran.err.find("bash"), std::string::npos);
}

}  // namespace
}  // namespace leeward::test
