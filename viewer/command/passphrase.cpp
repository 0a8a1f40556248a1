#include "viewer/command/passphrase.h"

#include <cstdio>
#include <string>

#include <fcntl.h>
#include <termios.h>
#include <unistd.h>

namespace leeward::command {
namespace {

int descriptor = -1;

/// Byte by byte, so that the next line stays for who asks next.
Result<Secret> lineFrom(int from) {
  std::string line;
  line.reserve(1024);  // not moved about, so that no copy is left behind
  char byte = 0;
  ssize_t got = 0;
  while (line.size() < 1000 && (got = ::read(from, &byte, 1)) == 1 && byte != '\n') line += byte;
  if (line.empty()) {
    return Problem{ProblemCode::InvalidArgument, got < 0 ? "the descriptor of the passphrase can't be read" : "no passphrase came by the descriptor", "--passphrase-fd",
                   "Give one that is open for reading: leeward ... --passphrase-fd 3 3< FILE"};
  }
  if (line.back() == '\r') line.pop_back();
  return Secret(std::move(line));
}

Result<Secret> typed(const char* question) {
  // A call within a script, whose input is no terminal, must not wait for somebody who isn't there.
  const int terminal = ::isatty(STDIN_FILENO) != 0 ? ::open("/dev/tty", O_RDWR | O_CLOEXEC) : -1;
  if (terminal < 0) {
    return Problem{ProblemCode::InvalidArgument, "the study is sealed, and there is no terminal to ask for its passphrase", "", "Hand it in by --passphrase-fd N: its first line"};
  }
  termios before{};
  ::tcgetattr(terminal, &before);
  termios hidden = before;
  hidden.c_lflag &= ~static_cast<tcflag_t>(ECHO);
  ::tcsetattr(terminal, TCSAFLUSH, &hidden);
  (void)!::write(terminal, question, std::char_traits<char>::length(question));
  auto line = lineFrom(terminal);
  ::tcsetattr(terminal, TCSAFLUSH, &before);
  (void)!::write(terminal, "\n", 1);
  ::close(terminal);
  return line;
}

}  // namespace

void addPassphrase(CLI::App& verb) {
  verb.add_option("--passphrase-fd", descriptor, "Read a sealed study's passphrase from this open descriptor: its first line")->check(CLI::Range(0, 65535))->type_name("N");
  askPassphrasesBy([](const std::filesystem::path&, bool again) -> Result<Secret> {
    if (descriptor < 0) return typed(again ? "That does not open it. Passphrase: " : "Passphrase of the study: ");
    if (again) return Problem{ProblemCode::InvalidArgument, "the passphrase does not open this study", "--passphrase-fd", ""};
    return lineFrom(descriptor);
  });
}

Result<Secret> newPassphrase() {
  if (descriptor >= 0) return lineFrom(descriptor);
  LEEWARD_ASSIGN(first, typed("New passphrase (four or five words): "));
  LEEWARD_ASSIGN(second, typed("Once more: "));
  if (first.text() != second.text()) return Problem{ProblemCode::InvalidArgument, "the two are not the same; nothing was changed", "", "Try again"};
  return first;
}

}  // namespace leeward::command
