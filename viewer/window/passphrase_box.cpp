#include "viewer/window/passphrase_box.h"

#include <QApplication>
#include <QInputDialog>
#include <QThread>
#include <optional>
#include <string>

#include "shared/base/seal.h"

namespace leeward::window {
namespace {

/// Nothing if it was left.
std::optional<Secret> askFor(const QString& study, bool again) {
  QInputDialog box(QApplication::activeWindow());
  box.setObjectName("passphrase");
  box.setWindowTitle(QApplication::translate("passphrase", "Sealed study"));
  box.setTextEchoMode(QLineEdit::Password);
  box.setInputMethodHints(Qt::ImhSensitiveData | Qt::ImhNoPredictiveText);
  box.setLabelText(again ? QApplication::translate("passphrase", "That does not open %1. A lost passphrase can't be replaced.\nPassphrase:").arg(study)
                         : QApplication::translate("passphrase", "%1 is sealed.\nPassphrase:").arg(study));
  if (box.exec() != QDialog::Accepted) return std::nullopt;
  QString typed = box.textValue();
  Secret secret(typed.toStdString());
  box.setTextValue(QString());
  typed.fill(u' ');
  return secret;
}

}  // namespace

void askPassphrasesInWindow() {
  askPassphrasesBy([](const std::filesystem::path& file, bool again) -> Result<Secret> {
    const QString study = QString::fromStdString(file.parent_path().filename().string());
    std::optional<Secret> typed;
    const auto ask = [&] { typed = askFor(study, again); };
    if (QThread::currentThread() == qApp->thread()) ask();
    else QMetaObject::invokeMethod(qApp, ask, Qt::BlockingQueuedConnection);
    if (!typed) return Problem{ProblemCode::Cancelled, "the study stays sealed", file.string(), "Open it with its passphrase"};
    return *std::move(typed);
  });
}

}  // namespace leeward::window
